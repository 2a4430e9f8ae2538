import { writeFile } from 'node:fs/promises';
import { createServer, type Server } from 'node:http';
import path from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { ErrorReply } from '../../shared/api.ts';
import type { ComparisonView } from '../../shared/comparison-view.ts';
import type { Analysis } from '../../shared/day.ts';
import { createApp } from '../../server/app.ts';
import { createDays } from '../../server/days.ts';
import { createUploads } from '../../server/uploads.ts';
import { compareDays, comparedCase, comparisonDocument, openStore, type Store } from '../../src/index.ts';
import { SMALL_SETUP, smallDay } from '../store/small-day.ts';
import { filesUnder, storeFolder } from '../store/store-folder.ts';

const uploads = createUploads(10);
const servers: Server[] = [];

async function serve(store?: Store): Promise<string> {
  let port = 0;
  const server = createServer(createApp({ days: createDays(1), uploads, hosts: () => [`127.0.0.1:${port}`], pages: '/nowhere', sample: () => 'none', ...(store === undefined ? {} : { store }) }));
  servers.push(server);
  await new Promise<void>((resolve) => { server.listen(0, '127.0.0.1', resolve); });
  const bound = server.address();
  port = typeof bound === 'object' && bound !== null ? bound.port : 0;
  return `http://127.0.0.1:${port}/api`;
}

/** The wheel reads 1.03 ± 0.002 instead of 1 ± 0.002 the day after; the blocked run is free, an unsteady fan stays. */
function dayOf(name: 'before' | 'after'): Analysis {
  const isAfter = name === 'after';
  const day = smallDay(name);
  const level = isAfter ? 1.03 : 1;
  return {
    ...day, day: { ...day.day, start: day.day.start + (isAfter ? 86_400 : 0) },
    findings: day.findings.filter(({ code }) => !isAfter || code !== 'run.blocked'),
    measurements: [
      { name: 'wheel.ratio', subject: 'wheel', value: level, low: level - 0.002, high: level + 0.002, unit: 'ratio', n: 12 },
      { name: 'scale.span', subject: 'tank.1', value: 1, low: Number.NEGATIVE_INFINITY, high: Number.POSITIVE_INFINITY, unit: 'ratio', n: 2 },
      { name: 'area.gnss', subject: 'field', value: isAfter ? 12 : 10, low: 9, high: 13, unit: 'ha', n: 1 },
    ],
  };
}

let store: Store;
let base = '';
let without = '';
let [before, after, machine] = ['', '', ''];
const get = (route: string, at = base): Promise<Response> => fetch(`${at}/${route}`);
const refused = async (response: Response): Promise<readonly [number, string]> => {
  const reply = (await response.json()) as ErrorReply;
  expect(reply.whatToDo).not.toBe('');
  return [response.status, reply.message];
};

beforeAll(async () => {
  store = openStore(await storeFolder());
  ({ id: before } = await store.save({ analysis: dayOf('before'), setup: SMALL_SETUP, zone: 'UTC' }));
  const saved = await store.save({ analysis: dayOf('after'), setup: SMALL_SETUP, zone: 'UTC' });
  ({ id: after, listing: { machine } } = saved);
  base = await serve(store);
  without = await serve();
});
afterAll(async () => {
  for (const server of servers) await new Promise((resolve) => { server.close(resolve); });
  await uploads.clear();
});

describe('two kept days side by side', () => {
  test('judged as on the command line, what changed first, sentences with their quantities as tokens', async () => {
    const response = await get(`compare?before=${before}&after=${after}`);
    expect(response.status).toBe(200);
    const view = (await response.json()) as ComparisonView;
    expect(view.rows.map(({ title, verdict }) => [title, verdict])).toEqual([
      ['Distance by the speed wheel ÷ by GNSS', 'changed'], ['Shown ÷ true weight change, tank 1', 'cannot-tell'], ['Area by GNSS', undefined],
    ]);
    const document = comparisonDocument(compareDays(comparedCase(await store.readings(before)), comparedCase(await store.readings(after)))) as { readonly measurements: readonly { readonly name: string; readonly verdict?: string; readonly difference: object }[]; readonly method: string };
    const wheel = document.measurements.find(({ name }) => name === 'wheel.ratio');
    expect(view.rows[0]).toMatchObject({ verdict: wheel?.verdict, difference: wheel?.difference });
    /* 0.03 ± √(0.002² + 0.002²) */
    expect(view.rows[0]?.difference.low).toBeCloseTo(0.03 - Math.hypot(0.002, 0.002), 9);
    expect(view.method).toBe(document.method);
    expect(view.answer.metric).toContain('Changed: Distance by the speed wheel ÷ by GNSS from 100.00 % (99.80 to 100.20 %) to 103.00 %');
    expect(view.gone.map(({ title, subject }) => [title, subject])).toEqual([['run 1 is blocked from ‹clock|60|›', 'run.1']]);
    expect(view.stayed.map(({ code }) => code)).toEqual(['fan.unsteady']);
    expect(view.fresh).toEqual([]);
    expect(view.before).toMatchObject({ zone: 'UTC', start: dayOf('before').day.start });
    expect([view.isSetupKnown, view.settings]).toEqual([true, []]);
  });

  test('a measurement without bounds arrives without them, not as a number', async () => {
    const { rows } = (await (await get(`compare?before=${before}&after=${after}`)).json()) as ComparisonView;
    expect(rows[1]?.difference).toEqual({ value: 0, low: null, high: null });
  });

  test('refusals name what is wrong', async () => {
    expect(await refused(await get(`compare?before=${before}`))).toEqual([400, 'Which day is after?']);
    expect(await refused(await get(`compare?before=${before}&before=${after}&after=${after}`))).toEqual([400, 'Which day is before?']);
    expect(await refused(await get(`compare?before=${before}&after=${before}`))).toEqual([400, 'Before and after are the same day.']);
    expect(await refused(await get(`compare?before=..%2F..%2Fetc&after=${after}`))).toEqual([404, 'The day before is not kept, or damaged.']);
    expect(await refused(await get(`compare?before=${before}&after=c0`))).toEqual([404, 'The day after is not kept, or damaged.']);
    expect((await refused(await get(`compare?before=${before}&after=${after}`, without)))[0]).toBe(404);
    expect((await fetch(`${base}/compare`, { method: 'POST', headers: { 'x-sowtrace': '1' } })).status).toBe(405);
  });

  test('a case whose file was changed is refused with the file’s name, not compared', async () => {
    const root = await storeFolder();
    const other = openStore(root);
    const ids = [await other.save({ analysis: dayOf('before'), zone: 'UTC' }), await other.save({ analysis: dayOf('after'), zone: 'UTC' })].map(({ id }) => id);
    const [name = '', bytes = Buffer.alloc(0)] = [...(await filesUnder(root))].find(([file]) => file.endsWith('readings.json')) ?? [];
    const changed = Buffer.from(bytes);
    changed[Math.floor(changed.length / 2)] = (changed.at(Math.floor(changed.length / 2)) ?? 0) ^ 1;
    await writeFile(path.join(root, name), changed);
    const [status, message] = await refused(await get(`compare?before=${ids[0]}&after=${ids[1]}`, await serve(other)));
    expect(status).toBe(422);
    expect(message).toContain('readings.json');
  });
});

describe('a machine over its season', () => {
  test('comes as a page with its own style and nothing else', async () => {
    const response = await get(`machines/${encodeURIComponent(machine)}/history`);
    expect(response.status).toBe(200);
    expect(response.headers.get('content-type')).toMatch(/^text\/html/);
    expect(response.headers.get('content-security-policy')).toBe("default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'; sandbox");
    const page = await response.text();
    expect(page).toContain('2 days');
    expect(page).not.toMatch(/<script|https?:/);
    expect(await (await get(`machines/${encodeURIComponent(machine)}/history?units=us`)).text()).not.toBe('');
  });

  test('of a machine without kept days there is none', async () => {
    expect(await refused(await get('machines/..%2F..%2Fetc/history'))).toEqual([404, 'No day with a date is kept of this machine.']);
    expect((await refused(await get(`machines/${encodeURIComponent(machine)}/history`, without)))[0]).toBe(404);
  });
});
