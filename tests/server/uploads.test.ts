import { createServer, request as httpRequest, type Server } from 'node:http';
import { mkdtemp, readdir, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { Readable } from 'node:stream';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import type { UploadReply } from '../../shared/api.ts';
import type { LogGlance } from '../../shared/glance.ts';
import { createApp } from '../../server/app.ts';
import { createDays } from '../../server/days.ts';
import { UploadTooLarge, UploadWithoutRoom, createUploads, dataName, type Uploads } from '../../server/uploads.ts';

/* Files on their way in: streamed to a private folder, never under their own names, gone when they are not wanted. */

let place = '';
let uploads: Uploads;
let server: Server;
let port = 0;

beforeAll(async () => {
  place = await mkdtemp(path.join(tmpdir(), 'sowtrace-uploads-test-'));
});
beforeEach(async () => {
  uploads = createUploads(50_000, place);
  server = createServer(createApp({ days: createDays(1), uploads, hosts: () => [`127.0.0.1:${port}`], pages: place, sample: () => 'none' }));
  await new Promise<void>((resolve) => { server.listen(0, '127.0.0.1', resolve); });
  const bound = server.address();
  port = typeof bound === 'object' && bound !== null ? bound.port : 0;
});
afterEach(async () => {
  server.closeAllConnections();
  await new Promise((resolve) => { server.close(resolve); });
  await uploads.clear();
});
afterAll(() => rm(place, { recursive: true, force: true }));

const stored = async (): Promise<readonly string[]> => (await readdir(place, { recursive: true })).filter((name) => name.includes('/'));
const own = { 'x-sowtrace': '1', 'content-type': 'application/octet-stream' };
const post = async (name: string, body: string): Promise<UploadReply> =>
  (await (await fetch(`http://127.0.0.1:${port}/api/uploads`, { method: 'POST', headers: { ...own, 'x-file-name': encodeURIComponent(name) }, body })).json()) as UploadReply;

describe('names are data', () => {
  test.each([
    ['../../etc/passwd', 'passwd'], ['..\\..\\windows\\system32\\CON', 'CON'], ['C:\\logs\\day.log', 'day.log'], ['a\u0000b\r\nc.log', 'abc.log'],
    ['', 'log'], ['///', 'log'], ['x'.repeat(300), 'x'.repeat(255)], ['<img src=x onerror=alert(1)>.log', '<img src=x onerror=alert(1)>.log'], ['card/day.log', 'day.log'],
  ])('%j is shown as %j', (given, shown) => expect(dataName(given)).toBe(shown));

  test('and never a path: the stored name is made here', async () => {
    const { upload } = await post('../../../escape.log', 'abc');
    const kept = uploads.find(upload);
    expect(kept?.name).toBe('escape.log');
    expect(path.dirname(path.dirname(kept?.path ?? ''))).toBe(place);
    expect(path.basename(kept?.path ?? '')).toBe(upload);
  });
});

describe('nothing is left behind', () => {
  test('when the sender breaks off', async () => {
    const sent = httpRequest({ host: '127.0.0.1', port, method: 'POST', path: '/api/uploads', headers: { ...own, 'content-length': '40000' } });
    sent.on('error', () => undefined);
    sent.write('x'.repeat(10_000));
    await expect.poll(async () => (await stored()).length).toBe(1);
    sent.destroy();
    await expect.poll(async () => (await stored()).length).toBe(0);
  });

  test('when it is put away, and a second time it is not there', async () => {
    const { upload } = await post('day.log', 'abc');
    const url = `http://127.0.0.1:${port}/api/uploads/${upload}`;
    expect((await fetch(url, { method: 'DELETE', headers: own })).status).toBe(204);
    expect(await stored()).toEqual([]);
    expect((await fetch(url, { method: 'DELETE', headers: own })).status).toBe(404);
  });

  test('when its day is closed; other files stay', async () => {
    const [one, two] = [await post('one.log', 'abc'), await post('two.log', 'abc')];
    await uploads.release([uploads.find(one.upload)?.path ?? '', '/etc/hostname']);
    expect(uploads.find(one.upload)).toBeUndefined();
    expect(uploads.find(two.upload)).toBeDefined();
    expect((await stored()).length).toBe(1);
  });
});

describe('limits', () => {
  test('a file that says it is too large is refused before it is sent', async () => {
    await expect(uploads.keep('x', Readable.from(['never read']), 50_001)).rejects.toThrow(UploadTooLarge);
    expect(await stored()).toEqual([]);
  });

  test('a file that is larger than it said is refused while it is sent', async () => {
    await expect(uploads.keep('x', Readable.from([Buffer.alloc(40_000), Buffer.alloc(40_000)]))).rejects.toThrow(UploadTooLarge);
    expect(await stored()).toEqual([]);
  });

  test('a file larger than the disk has room for is refused with both figures', async () => {
    const endless = createUploads(Number.MAX_SAFE_INTEGER, place);
    await expect(endless.keep('x', Readable.from(['x']), 1e15)).rejects.toThrow(UploadWithoutRoom);
    await expect(endless.keep('x', Readable.from(['x']), 1e15)).rejects.toThrow(/1000000000 MB, the disk has room for \d+ MB/);
    expect(await endless.room()).toBeLessThan(1e15);
  });

  test('a disk that fills up meanwhile is told, and the part is removed', async () => {
    const full = Readable.from((function* broken() {
      yield Buffer.alloc(1000);
      throw Object.assign(new Error('no space left'), { code: 'ENOSPC' });
    })());
    await expect(uploads.keep('x', full)).rejects.toThrow(/the disk filled up after 0\.0 MB/);
    expect(await stored()).toEqual([]);
  });
});

describe('a first look', () => {
  const glance = async (upload: string): Promise<LogGlance> => (await (await fetch(`http://127.0.0.1:${port}/api/uploads/${upload}/glance`)).json()) as LogGlance;

  test('tells a CSV with its columns, values, meanings and suggestions', async () => {
    const { upload } = await post('day.csv', 'time;Blower 1 rpm;wheel.speed [km/h];fan.2.speed [kg]\n2031-05-04T09:20:00Z;3600;8,5;1\n2031-05-04T09:20:01Z;;8,6;2\n');
    const { format, columns = [] } = await glance(upload);
    expect(format?.id).toBe('csv');
    expect(columns.map(({ heading, isTime, channel }) => [heading, isTime, channel])).toEqual([['time', true, undefined], ['Blower 1 rpm', false, undefined], ['wheel.speed [km/h]', false, 'wheel.speed'], ['fan.2.speed [kg]', false, undefined]]);
    expect(columns[1]?.suggestions[0]).toBe('fan.1.speed');
    expect(columns[1]?.numbers).toEqual([3600, null]);
    expect(columns[2]).toMatchObject({ cells: ['8,5', '8,6'], numbers: [8.5, 8.6], unit: 'km/h' });
    expect(columns[3]?.problem).toMatch(/does not fit/);
  });

  test('says why a file is no log', async () => {
    expect((await glance((await post('a.txt', 'dear diary')).upload)).problem?.whatToDo).toMatch(/Known are .*CSV/);
    expect((await fetch(`http://127.0.0.1:${port}/api/uploads/none/glance`)).status).toBe(404);
  });
});

describe('a known path with another method', () => {
  test.each([
    ['PUT', '/api/days', 'GET, HEAD, POST'], ['POST', '/api/days/x', 'DELETE, GET, HEAD'], ['DELETE', '/api/uploads', 'GET, HEAD, POST'], ['POST', '/api/days/x/marks/y', 'DELETE, PUT'], ['GET', '/api/sample', 'POST'],
  ])('%s %s is answered 405 with what it has', async (method, route, allow) => {
    const answer = await fetch(`http://127.0.0.1:${port}${route}`, { method, headers: own });
    expect(answer.status).toBe(405);
    expect(answer.headers.get('allow')).toBe(allow);
  });

  test('an unknown one stays 404', async () => {
    expect((await fetch(`http://127.0.0.1:${port}/api/none`, { method: 'PUT', headers: own })).status).toBe(404);
    expect((await fetch(`http://127.0.0.1:${port}/viewer.js`, { method: 'POST', headers: own })).status).toBe(405);
  });
});
