import { createHash } from 'node:crypto';
import { gunzipSync } from 'node:zlib';
import fc from 'fast-check';
import { zipSync } from 'fflate';
import { describe, expect, test } from 'vitest';
import type { ColumnGlance } from '../../shared/glance.ts';
import { ordinal, shownName, shownSize, visible } from '../../web/panels/frame/names.ts';
import { roleOf } from '../../web/panels/intake/file-role.ts';
import { clashes, columnsFile, likelyUnit, meaningProblem, previewOf } from '../../web/panels/intake/mapping.ts';
import { zipEntries } from '../../web/panels/intake/zip.ts';

describe('what a file is for', () => {
  const role = (name: string, content: string): ReturnType<typeof roleOf> => roleOf({ name, size: content.length, head: new TextEncoder().encode(content.slice(0, 4)), text: async () => content });
  test.each([
    ['setup.json', '{"machine":{}}', 'setup'], ['anything.json', '\uFEFF{"signals":[]}', 'signals'], ['columns.json', '{"columns":{}}', 'columns'], ['broken.json', '{"machine"', 'setup'],
    ['list.json', '3', 'log'], ['day.log', '(1.0) can0 1#00', 'log'], ['day.csv', '{"signals":[]}', 'log'], ['machine.DBC', 'VERSION ""', 'signals'], ['card.zip', 'PK\u0003\u0004', 'archive'], ['card', 'PK\u0005\u0006', 'archive'], ['book.xlsx', 'PK\u0003\u0004', 'archive'],
  ])('%s holding %j: %s', async (name, content, expected) => expect(await role(name, content)).toBe(expected));

  test('a large JSON is not read whole to find out', async () => {
    expect(await roleOf({ name: 'day.json', size: 3_000_000, head: new Uint8Array(4), text: () => Promise.reject(new Error('read whole')) })).toBe('log');
  });
});

describe('zip archives, against the writer of fflate and the reader of zlib', () => {
  const bytes = (text: string): Uint8Array => new TextEncoder().encode(text);
  const unpack = async (body: Blob | undefined): Promise<Buffer> => {
    const stored = Buffer.from(await (body ?? new Blob([])).arrayBuffer());
    return stored[0] === 0x1f && stored[1] === 0x8b ? gunzipSync(stored) : stored;
  };

  test('packed entries become gzip files that zlib accepts, checksum and length included; stored ones stay', async () => {
    const large = bytes('(1.0) can0 1#00\n'.repeat(20_000));
    const archive = new Blob([zipSync({ 'a/day.log': large, 'note.txt': [bytes('plain'), { level: 0 }] })]);
    const entries = await zipEntries(archive);
    expect(entries.map(({ name, size }) => [name, size])).toEqual([['a/day.log', large.length], ['note.txt', 5]]);
    expect((await unpack(entries[0]?.body)).equals(large)).toBe(true);
    expect((await unpack(entries[1]?.body)).toString()).toBe('plain');
  });

  test('any files come back byte by byte', async () => {
    await fc.assert(fc.asyncProperty(fc.dictionary(fc.stringMatching(/^[a-z]{1,8}$/), fc.uint8Array({ maxLength: 2000 }), { maxKeys: 6 }), async (files) => {
      const entries = await zipEntries(new Blob([zipSync(files)]));
      expect(entries.length).toBe(Object.keys(files).length);
      const hash = (data: Uint8Array): string => createHash('sha256').update(data).digest('hex');
      for (const { name, body } of entries) {
        const stored = new Uint8Array(await (body ?? new Blob([])).arrayBuffer());
        const own = files[name] ?? new Uint8Array();
        expect([hash(stored), stored[0] === 0x1f && stored[1] === 0x8b ? hash(gunzipSync(stored)) : '']).toContain(hash(own));
      }
    }), { numRuns: 40 });
  });

  test('folders and litter are left out; a comment behind the list does not matter', async () => {
    const plain = zipSync({ 'a/': new Uint8Array(), '__MACOSX/a': bytes('x'), 'b/.DS_Store': bytes('x'), 'b/day.csv': bytes('time\n') }, { level: 6 });
    const end = plain.length - 22;
    const commented = new Uint8Array(plain.length + 3);
    commented.set(plain);
    commented.set([3, 0, 33, 33, 33], end + 20);
    for (const archive of [plain, commented]) expect((await zipEntries(new Blob([archive]))).map(({ name }) => name)).toEqual(['b/day.csv']);
  });

  test('an entry with a password is named, not guessed at', async () => {
    const archive = zipSync({ 'day.log': bytes('x'.repeat(100)) });
    const central = Buffer.from(archive).lastIndexOf(Buffer.from([0x50, 0x4b, 1, 2]));
    archive[central + 8] = (archive[central + 8] ?? 0) | 1;
    expect((await zipEntries(new Blob([archive])))[0]).toMatchObject({ name: 'day.log', problem: expect.stringMatching(/password/) as string });
  });

  test('a cut or foreign archive is refused in words, wherever it is cut', async () => {
    const archive = zipSync({ 'day.log': bytes('x'.repeat(500)), 'b.log': bytes('y'.repeat(50)) });
    for (let length = 0; length < archive.length; length += 7) await expect(zipEntries(new Blob([archive.subarray(0, length)]))).rejects.toThrow(/cut off|nothing|no list/);
  });
});

describe('headings get their meaning', () => {
  const column: ColumnGlance = { heading: 'Pace', cells: ['8.5'], numbers: [8.5, null, 9], isTime: false, suggestions: ['wheel.speed'], unit: 'km/h' };

  test('the unit of the heading when it fits, else the usual one', () => {
    expect(likelyUnit('wheel.speed', 'km/h')).toBe('km/h');
    expect(likelyUnit('wheel.speed', 'rpm')).toBe('m/s');
    expect(likelyUnit('gnss.course', undefined)).toBe('deg');
    expect(likelyUnit('meter.1.target', undefined)).toBe('kg/ha');
    expect(likelyUnit('time', 'km/h')).toBe('');
    expect(likelyUnit('no.such', 'km/h')).toBe('');
  });

  test('what cannot be is said', () => {
    expect(meaningProblem({ channel: 'wheel.speed', unit: 'km/h' })).toBeUndefined();
    expect(meaningProblem({ channel: 'time', unit: 's' })).toBeUndefined();
    expect(meaningProblem({ channel: 'wheel.sped', unit: 'km/h' })).toMatch(/no channel/);
    expect(meaningProblem({ channel: 'wheel.speed', unit: 'kg' })).toMatch(/cannot be in kg; known for it are .*mph/);
  });

  test('the preview is what the channel will hold; 8.5 km/h are 2.361 m/s', () => {
    const [first, gap, last] = previewOf(column, { channel: 'wheel.speed', unit: 'km/h' });
    expect(first).toBeCloseTo(8.5 / 3.6, 12);
    expect(gap).toBeNull();
    expect(last).toBeCloseTo(2.5, 12);
    expect(previewOf(column, { channel: 'wheel.speed', unit: 'kg' })).toEqual([]);
  });

  test('columns.json keeps what it said before', () => {
    const text = columnsFile('{"columns":{"Old":{"channel":"heading"},"Pace":{"channel":"roll"}}}', new Map([['Pace', { channel: 'wheel.speed', unit: 'km/h' }], ['When', { channel: 'time', unit: '' }]]));
    expect(JSON.parse(text)).toEqual({ columns: { Old: { channel: 'heading' }, Pace: { channel: 'wheel.speed', unit: 'km/h' }, When: { channel: 'time' } } });
    expect(JSON.parse(columnsFile('not json', new Map()))).toEqual({ columns: {} });
  });

  test('a heading named __proto__ is a heading', () => {
    const text = columnsFile(undefined, new Map([['__proto__', { channel: 'wheel.speed', unit: 'km/h' }]]));
    expect(Object.keys((JSON.parse(text) as { columns: object }).columns)).toEqual(['__proto__']);
    expect(({} as { channel?: string }).channel).toBeUndefined();
  });

  test('two headings for one channel are named', () => {
    const columns = [column, { ...column, heading: 'Also pace' }, { ...column, heading: 'wheel.speed', channel: 'wheel.speed' }];
    expect([...clashes(columns, new Map([['Pace', { channel: 'wheel.speed', unit: 'km/h' }]]))]).toEqual([['wheel.speed', ['Pace', 'wheel.speed']]]);
    expect(clashes(columns, new Map([['Pace', { channel: 'drive.speed', unit: 'km/h' }]])).size).toBe(0);
  });
});

describe('names out of files', () => {
  test('what cannot be seen is shown, long ones are cut in their middle', () => {
    expect(visible('seed\u202egnp.vsc\u0000\u200b')).toBe('seed\ufffdgnp.vsc\ufffd\ufffd');
    expect(visible('Säkarte Größe 水.csv')).toBe('Säkarte Größe 水.csv');
    expect(shownName('a'.repeat(300)).length).toBeLessThan(130);
    expect(shownName(`${'a'.repeat(300)}.csv`)).toMatch(/…a+\.csv$/);
  });
  test.each([[1, '1st'], [2, '2nd'], [3, '3rd'], [4, '4th'], [11, '11th'], [12, '12th'], [13, '13th'], [21, '21st'], [102, '102nd'], [112, '112th']] as const)('%i is %s', (n, text) => expect(ordinal(n)).toBe(text));
  test.each([[0, '0 bytes'], [999, '999 bytes'], [1500, '2 kB'], [2_500_000, '2.5 MB'], [4_000_000_000, '4.00 GB']] as const)('%i bytes read %s', (n, text) => expect(shownSize(n)).toBe(text));
});
