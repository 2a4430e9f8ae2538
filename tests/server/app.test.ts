import { createServer, request as httpRequest, type IncomingHttpHeaders, type Server } from 'node:http';
import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { createApp } from '../../server/app.ts';
import { createDays } from '../../server/days.ts';
import { createUploads } from '../../server/uploads.ts';

/* Routes and guards without a day: what the server refuses, and what every answer carries. */

interface Answer {
  readonly status: number;
  readonly headers: IncomingHttpHeaders;
  readonly body: string;
}

let server: Server;
let port = 0;
let pages = '';
const days = createDays(2);
const uploads = createUploads(1000);

beforeAll(async () => {
  pages = await mkdtemp(path.join(tmpdir(), 'sowtrace-pages-'));
  await writeFile(path.join(pages, 'index.html'), '<!doctype html><title>Sowtrace</title>');
  server = createServer(createApp({ days, uploads, hosts: () => [`127.0.0.1:${port}`], pages, sample: () => 'none' }));
  await new Promise<void>((resolve) => { server.listen(0, '127.0.0.1', resolve); });
  const bound = server.address();
  port = typeof bound === 'object' && bound !== null ? bound.port : 0;
});
afterAll(async () => {
  await new Promise((resolve) => { server.close(resolve); });
  await uploads.clear();
  await rm(pages, { recursive: true, force: true });
});

function ask(method: string, route: string, headers: Record<string, string | string[]> = {}, body?: string): Promise<Answer> {
  return new Promise((resolve, reject) => {
    const sent = httpRequest({ host: '127.0.0.1', port, method, path: route, headers, setHost: headers['host'] === undefined }, (response) => {
      let text = '';
      response.setEncoding('utf8').on('data', (chunk: string) => { text += chunk; }).on('end', () => resolve({ status: response.statusCode ?? 0, headers: response.headers, body: text }));
    });
    sent.on('error', reject);
    sent.end(body);
  });
}

const own = { 'x-sowtrace': '1', 'content-type': 'application/json' };

describe('another host name is not answered', () => {
  test.each([['evil.example'], ['127.0.0.1'], ['localhost.:1'], ['[::1]:1'], ['']])('Host "%s"', async (host) => {
    for (const route of ['/', '/api/days', '/index.html']) expect((await ask('GET', route, { host })).status).toBeGreaterThanOrEqual(400);
    expect((await ask('GET', '/api/days', { host: 'evil.example' })).status).toBe(421);
  });

  test('its own name is', async () => {
    expect((await ask('GET', '/')).status).toBe(200);
    expect((await ask('GET', '/api/days')).body).toBe('[]');
  });
});

describe('only the viewer itself may change something', () => {
  const good = (): string => `http://127.0.0.1:${port}`;
  test.each([
    ['without the own header', () => ({ 'content-type': 'application/json' }), 403],
    ['from another site', () => ({ ...own, 'sec-fetch-site': 'cross-site' }), 403],
    ['from a neighbour of the site', () => ({ ...own, 'sec-fetch-site': 'same-site' }), 403],
    ['with another origin', () => ({ ...own, origin: 'http://evil.example' }), 403],
    ['with a null origin', () => ({ ...own, origin: 'null' }), 403],
    ['with its own origin', () => ({ ...own, origin: good(), 'sec-fetch-site': 'same-origin' }), 400],
    ['from a tool on this computer', () => own, 400],
  ] as const)('%s', async (_, headers, status) => {
    expect((await ask('POST', '/api/days', headers(), '{"uploads":[]}')).status).toBe(status);
  });
});

describe('every answer', () => {
  test.each([['GET', '/'], ['GET', '/none'], ['GET', '/api/days'], ['GET', '/api/none'], ['GET', '/api/days/none'], ['POST', '/api/days'], ['GET', '/../../package.json'], ['GET', '/.git/config']])('%s %s has the headers', async (method, route) => {
    const { headers, body, status } = await ask(method, route);
    expect(headers['x-content-type-options']).toBe('nosniff');
    expect(headers['content-security-policy']).toContain("default-src 'none'");
    expect(headers['content-security-policy']).not.toContain('unsafe');
    expect(headers['cross-origin-opener-policy']).toBe('same-origin');
    expect(headers['x-frame-options']).toBe('DENY');
    expect(headers['x-powered-by']).toBeUndefined();
    expect(headers['access-control-allow-origin']).toBeUndefined();
    expect(body).not.toMatch(/node_modules|\bat .*\.[jt]s:\d/);
    if (route.startsWith('/.') || route.includes('..')) expect(status).toBeGreaterThanOrEqual(400);
  });
});

describe('bad requests are answered in words', () => {
  test.each([
    ['POST', '/api/days', '{"uploads":["../../etc/passwd"]}', 400, 'no longer on the server'],
    ['POST', '/api/days', 'not json', 400, 'could not be read'],
    ['POST', '/api/days', '{"__proto__":{"uploads":["x"]}}', 400, 'No log'],
    ['GET', '/api/days/none/channels/0?from=0&to=1', undefined, 404, 'no longer open'],
    ['GET', '/api/days/none/channels/0?from=a&to=1', undefined, 400, 'numbers'],
    ['DELETE', '/api/days/none', undefined, 404, 'no longer open'],
    ['POST', '/api/uploads', 'x'.repeat(2000), 413, 'too large'],
  ] as const)('%s %s', async (method, route, body, status, words) => {
    const answer = await ask(method, route, own, body);
    expect(answer.status).toBe(status);
    expect(answer.body).toContain(words);
  });

  test('a setup is checked as it is typed', async () => {
    const { body } = await ask('POST', '/api/setup/problems', own, '{"machine":{"workingWith":"18 m"}}');
    expect(JSON.parse(body)).toMatchObject({ problems: [{ path: 'machine', whatToDo: 'Did you mean "workingWidth"?' }] });
  });

  test('an upload keeps its name as data only', async () => {
    const { status, body } = await ask('POST', '/api/uploads', { ...own, 'x-file-name': encodeURIComponent('../../<img src=x>.log') }, 'abc');
    expect(status).toBe(201);
    const reply = JSON.parse(body) as { upload: string; bytes: number };
    expect(reply.bytes).toBe(3);
    expect(uploads.find(reply.upload)?.path).not.toContain('img');
  });
});
