import { createServer, type Server } from 'node:http';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { DayView } from '../../shared/api.ts';
import type { Mark } from '../../shared/marks.ts';
import { createApp } from '../../server/app.ts';
import type { Days } from '../../server/days.ts';
import { createMarksInMemory, logsKey } from '../../server/marks.ts';
import { createUploads } from '../../server/uploads.ts';

const view = (...hashes: readonly string[]): DayView => ({ logs: hashes.map((sha256) => ({ sha256 })), findings: [{ id: 'run.blocked-run.47-1a2b' }] }) as unknown as DayView;

describe('marks in memory', () => {
  test('belong to the logs by content, whatever their order', () => {
    expect(logsKey(view('b', 'a'))).toBe(logsKey(view('a', 'b')));
    expect(logsKey(view('a'))).not.toBe(logsKey(view('a', 'b')));
  });

  test('a writer who has not seen the last mark is refused, and the mark stays', async () => {
    const marks = createMarksInMemory(() => 1000);
    const first = await marks.put('logs', 'f', { state: 'confirmed', note: '', seen: null });
    expect(first).toMatchObject({ state: 'confirmed', at: 1000 });
    expect(await marks.put('logs', 'f', { state: 'rejected', note: '', seen: null })).toBeUndefined();
    const second = await marks.put('logs', 'f', { state: 'fixed', note: 'n', seen: first?.at ?? 0 });
    expect(second?.at).toBeGreaterThan(1000);
    expect(await marks.list('logs')).toEqual([second]);
    expect(await marks.list('other')).toEqual([]);
  });

  test('every change moves the revision', async () => {
    const marks = createMarksInMemory();
    expect(marks.revision('logs')).toBe(0);
    await marks.put('logs', 'f', { state: 'confirmed', note: '', seen: null });
    await marks.remove('logs', 'f');
    expect(marks.revision('logs')).toBe(2);
    expect(await marks.list('logs')).toEqual([]);
  });
});

describe('the routes', () => {
  let server: Server;
  let base = '';
  beforeAll(async () => {
    const day = view('abc');
    const days = { state: (id: string) => (id === 'here' ? { status: 'ready', view: day } : id === 'slow' ? { status: 'judging' } : undefined), revision: () => 7 } as unknown as Days;
    let port = 0;
    server = createServer(createApp({ days, uploads: createUploads(10), hosts: () => [`127.0.0.1:${port}`], pages: '/nowhere', sample: () => 'none' }));
    await new Promise<void>((resolve) => { server.listen(0, '127.0.0.1', resolve); });
    const bound = server.address();
    port = typeof bound === 'object' && bound !== null ? bound.port : 0;
    base = `http://127.0.0.1:${port}/api/days`;
  });
  afterAll(() => new Promise((resolve) => { server.close(resolve); }));

  const put = (body: unknown, finding = 'run.blocked-run.47-1a2b', day = 'here'): Promise<Response> =>
    fetch(`${base}/${day}/marks/${finding}`, { method: 'PUT', headers: { 'x-sowtrace': '1', 'content-type': 'application/json' }, body: JSON.stringify(body) });

  test('a mark is written, read, refused when stale, and taken back', async () => {
    const mark = (await (await put({ state: 'confirmed', note: 'mud', seen: null })).json()) as Mark;
    expect(mark).toMatchObject({ finding: 'run.blocked-run.47-1a2b', state: 'confirmed', note: 'mud' });
    expect((await put({ state: 'fixed', note: '', seen: null })).status).toBe(409);
    expect(await (await fetch(`${base}/here/marks`)).json()).toEqual([mark]);
    expect(await (await fetch(`${base}/here/pulse`)).json()).toEqual({ status: 'ready', revision: 7, marks: 1 });
    expect((await fetch(`${base}/here/marks/${mark.finding}`, { method: 'DELETE', headers: { 'x-sowtrace': '1' } })).status).toBe(204);
    expect(await (await fetch(`${base}/here/marks`)).json()).toEqual([]);
  });

  test.each([
    ['an unknown state', { state: 'maybe', note: '', seen: null }, 400], ['no note', { state: 'fixed', seen: null }, 400], ['no sight of what was', { state: 'fixed', note: '' }, 400],
    ['a note without end', { state: 'fixed', note: 'x'.repeat(5000), seen: null }, 400], ['a list', [], 400], ['a body beyond all limits', { state: 'fixed', note: 'x'.repeat(100_000), seen: null }, 413],
  ])('%s is refused', async (_, body, status) => expect((await put(body)).status).toBe(status));

  test('an unknown finding, an unknown day and one that is not ready are told', async () => {
    expect((await put({ state: 'fixed', note: '', seen: null }, '__proto__')).status).toBe(404);
    expect((await put({ state: 'fixed', note: '', seen: null }, 'x', 'none')).status).toBe(404);
    expect((await fetch(`${base}/slow/marks`)).status).toBe(404);
    expect(await (await fetch(`${base}/slow/pulse`)).json()).toEqual({ status: 'judging', revision: 7, marks: 0 });
  });
});
