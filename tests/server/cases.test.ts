import { readFile, readdir, writeFile } from 'node:fs/promises';
import path from 'node:path';
import { build } from 'esbuild';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { DayState, DayView } from '../../shared/api.ts';
import type { KeptDays } from '../../shared/case.ts';
import type { RunningServer, ServerOptions } from '../../server/main.ts';
import type { SavedCase } from '../../src/index.ts';
import { storeFolder } from '../store/store-folder.ts';

const ROOT = path.resolve(import.meta.dirname, '../..');
const CLEAN = path.join(ROOT, 'sample-logs/clean-morning');
const own = { 'x-sowtrace': '1', 'content-type': 'application/json' };

let store = '';
let start: (options: ServerOptions) => Promise<RunningServer>;
let server: RunningServer;
let base = '';
let first: DayView;
let saved: SavedCase;
const dayOf = (address: string): string => new URLSearchParams(new URL(address).hash.slice(1)).get('day') ?? '';
const post = (route: string): Promise<Response> => fetch(`${base}api/${route}`, { method: 'POST', headers: own, body: '{}' });
const kept = async (): Promise<KeptDays> => (await (await fetch(`${base}api/cases`)).json()) as KeptDays;

async function viewOf(id: string, at = base): Promise<DayView> {
  for (;;) {
    const state = (await (await fetch(`${at}api/days/${id}`)).json()) as DayState;
    if (state.status === 'ready') return state.view;
    if (state.status === 'failed') throw new Error(state.error.message);
    await new Promise((resolve) => { setTimeout(resolve, 50); });
  }
}

beforeAll(async () => {
  store = await storeFolder();
  const program = path.join(store, '../server');
  /* The day's worker needs JavaScript beside it: built here, so that no earlier build is taken for this one. */
  await build({
    entryPoints: [path.join(ROOT, 'server/main.ts'), path.join(ROOT, 'server/worker.ts')], outdir: program, bundle: true, splitting: true, platform: 'node', format: 'esm', logLevel: 'error', external: ['@duckdb/node-api'],
    banner: { js: "import { createRequire } from 'node:module'; const require = createRequire(import.meta.url);" },
  });
  await writeFile(path.join(program, 'package.json'), '{"type":"module"}');
  ({ startServer: start } = (await import(path.join(program, 'main.js'))) as { startServer: typeof start });
  server = await start({ port: 0, logs: [path.join(CLEAN, 'day.csv.gz')], files: { setup: path.join(CLEAN, 'setup.json') }, units: 'metric', store });
  base = new URL('/', server.address).href;
  first = await viewOf(dayOf(server.address));
  saved = (await (await post(`days/${first.id}/keep`)).json()) as SavedCase;
});
afterAll(async () => server.stop());

describe('kept days in the viewer’s server', () => {
  test('a day that was kept is listed and opens as it was, without its logs', async () => {
    expect(await kept()).toEqual({ store, cases: [saved.listing], damaged: [], removed: [] });
    const opened = await post(`cases/${saved.id}/open`);
    expect(opened.status).toBe(202);
    const { id } = (await opened.json()) as { id: string };
    expect({ ...(await viewOf(id)), id: '' }).toEqual({ ...first, id: '' });
    expect((await post(`days/${id}/files`)).status).toBe(400);
    expect(await (await post(`days/${id}/keep`)).json()).toMatchObject({ id: saved.id, replaced: true });
  });

  test('lanes of a kept day are the same before and after all of it was read', async () => {
    const opened = (await (await post(`cases/${saved.id}/open`)).json()) as { id: string };
    const view = await viewOf(opened.id);
    const positions = view.channels.filter(({ id }) => id === 'wheel.speed' || id === 'fan.1.speed').map(({ index }) => index);
    expect(positions.length).toBe(2);
    const lanes = async (id: string): Promise<Buffer> => Buffer.from(await (await fetch(`${base}api/days/${id}/lanes?channels=${positions.join(',')}&from=0&to=1200&columns=300`)).arrayBuffer());
    const early = await lanes(opened.id);
    expect((await fetch(`${base}api/days/${opened.id}/rates`)).status).toBe(200);
    expect((await lanes(opened.id)).equals(early)).toBe(true);
    expect((await lanes(first.id)).equals(early)).toBe(true);
  });

  test('samples that were damaged on disk end a day that was opened, by name', async () => {
    const place = path.join(store, (await readdir(store, { recursive: true })).find((name) => name.endsWith('channels-001.parquet')) ?? '');
    const good = await readFile(place);
    const bad = Buffer.from(good);
    bad[bad.length >> 1] = (bad[bad.length >> 1] as number) ^ 1;
    await writeFile(place, bad);
    const { id } = (await (await post(`cases/${saved.id}/open`)).json()) as { id: string };
    await viewOf(id).catch(() => undefined);
    const stateOf = async (): Promise<DayState> => (await (await fetch(`${base}api/days/${id}`)).json()) as DayState;
    await expect.poll(stateOf, { timeout: 10_000 }).toMatchObject({ status: 'failed', error: { kind: 'input', message: expect.stringContaining('channels-001.parquet') as string } });
    await writeFile(place, good);
  });

  test('marks are kept with it', async () => {
    const finding = first.findings[0]?.id;
    if (finding !== undefined) await fetch(`${base}api/days/${first.id}/marks/${finding}`, { method: 'PUT', headers: own, body: JSON.stringify({ state: 'confirmed', note: 'mud', seen: null }) });
    const again = await start({ port: 0, logs: [], files: {}, units: 'metric', store, kept: saved.id });
    const at = new URL('/', again.address).href;
    const view = await viewOf(dayOf(again.address), at);
    expect(((await (await fetch(`${at}api/days/${view.id}/marks`)).json()) as unknown[]).length).toBe(finding === undefined ? 0 : 1);
    await again.stop();
  });

  test('removed and restored', async () => {
    expect((await fetch(`${base}api/cases/${saved.id}`, { method: 'DELETE', headers: own })).status).toBe(204);
    expect((await kept()).cases).toEqual([]);
    expect((await kept()).removed.length).toBe(1);
    expect((await post(`cases/${saved.id}/restore`)).status).toBe(200);
    expect((await kept()).cases.length).toBe(1);
  });

  test('what is not there, and another site', async () => {
    expect((await post('cases/none/open')).status).toBe(404);
    expect((await post('cases/..%2f..%2fetc/restore')).status).toBe(422);
    expect((await post('days/none/keep')).status).toBe(404);
    expect((await fetch(`${base}api/cases/${saved.id}`, { method: 'DELETE' })).status).toBe(403);
    await expect(start({ port: 0, logs: [], files: {}, units: 'metric', store, kept: 'c000000000000000' })).rejects.toThrow('no kept day');
  });
});
