import { createServer, type Server } from 'node:http';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { createApp } from '../../server/app.ts';
import type { Days } from '../../server/days.ts';
import { createMarksInMemory } from '../../server/marks.ts';
import { createUploads } from '../../server/uploads.ts';

const view = { logs: [{ sha256: 'abc' }], findings: [{ id: 'f' }], start: Date.UTC(2031, 4, 9, 3) / 1000, zone: 'America/Regina' };

describe('the papers of a day', () => {
  let server: Server;
  let base = '';
  const asked: unknown[] = [];
  beforeAll(async () => {
    const worker = { ask: async (question: unknown) => { asked.push(question); return '<!DOCTYPE html><p>paper</p>'; } };
    const days = { state: (id: string) => (id === 'here' ? { status: 'ready', view } : id === 'slow' ? { status: 'judging' } : undefined), worker: (id: string) => (id === 'none' ? undefined : worker) } as unknown as Days;
    const marks = createMarksInMemory(() => 5);
    await marks.put('abc', 'f', { state: 'confirmed', note: 'mud', seen: null });
    let port = 0;
    server = createServer(createApp({ days, uploads: createUploads(10), hosts: () => [`127.0.0.1:${port}`], pages: '/nowhere', sample: () => 'none', marks }));
    await new Promise<void>((resolve) => { server.listen(0, '127.0.0.1', resolve); });
    const bound = server.address();
    port = typeof bound === 'object' && bound !== null ? bound.port : 0;
    base = `http://127.0.0.1:${port}/api/days`;
  });
  afterAll(() => new Promise((resolve) => { server.close(resolve); }));

  test('come as HTML with their own style and nothing else, with the marks made at the machine', async () => {
    const response = await fetch(`${base}/here/papers/complaint?units=us`);
    expect(response.status).toBe(200);
    expect(response.headers.get('content-type')).toMatch(/^text\/html/);
    expect(response.headers.get('content-security-policy')).toBe("default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'; sandbox");
    expect(response.headers.get('content-disposition')).toBeNull();
    expect(await response.text()).toBe('<!DOCTYPE html><p>paper</p>');
    expect(asked.at(-1)).toEqual({ kind: 'paper', paper: 'complaint', units: 'us', marks: [{ finding: 'f', state: 'confirmed', note: 'mud', at: 5 }] });
  });

  test('the list for tomorrow takes the area, the others do not; a saved one bears the farm\'s date', async () => {
    await fetch(`${base}/here/papers/tomorrow?hectares=60.5`);
    expect(asked.at(-1)).toMatchObject({ paper: 'tomorrow', units: 'metric', area: 605_000 });
    const saved = await fetch(`${base}/here/papers/rates?hectares=60&save=1`);
    expect(asked.at(-1)).not.toHaveProperty('area');
    expect(saved.headers.get('content-disposition')).toMatch(/^attachment; filename="?rates-2031-05-08\.html"?$/);
  });

  test.each(['-1', '0', 'x', '1e12', 'Infinity'])('%s hectares are refused', async (hectares) => {
    const before = asked.length;
    const response = await fetch(`${base}/here/papers/tomorrow?hectares=${hectares}`);
    expect(response.status).toBe(400);
    expect(await response.json()).toMatchObject({ kind: 'usage' });
    expect(asked).toHaveLength(before);
  });

  test('an unknown paper, an unknown day, one not ready, another method', async () => {
    expect((await fetch(`${base}/here/papers/letter`)).status).toBe(404);
    expect((await fetch(`${base}/none/papers/rates`)).status).toBe(404);
    expect((await fetch(`${base}/slow/papers/rates`)).status).toBe(404);
    expect((await fetch(`${base}/here/papers/rates`, { method: 'DELETE', headers: { 'x-sowtrace': '1' } })).status).toBe(405);
  });
});
