import { createHash } from 'node:crypto';
import { existsSync, readdirSync } from 'node:fs';
import path from 'node:path';
import { gzipSync } from 'node:zlib';
import { describe, expect, test } from 'vitest';
import type { Channel } from '../../shared/channel.ts';
import type { Day } from '../../shared/day.ts';
import { InputError } from '../../src/core/errors.ts';
import { parseColumns } from '../../src/formats/csv/columns-file.ts';
import { openBytes } from '../../src/open-log.ts';
import { readLogs, readOpenedLogs } from '../../src/read-logs.ts';

const START = 1_746_532_800;

/** Wheel speed (ISO 11783-7, PGN 65096: 0.001 m/s per bit) in mm/s from sender 0x22 as a candump line. */
function wheelLine(time: number, millimetresPerSecond: number, bus = 'can0', source = '22'): string {
  const low = (millimetresPerSecond & 0xff).toString(16).padStart(2, '0');
  const high = (millimetresPerSecond >> 8).toString(16).padStart(2, '0');
  return `(${time.toFixed(6)}) ${bus} 0CFE48${source}#${low}${high}FFFFFFFFFFFF\n`;
}

const lines = (from: number, count: number, step = 0.1, bus = 'can0', source = '22'): string =>
  Array.from({ length: count }, (_, i) => wheelLine(from + i * step, 2000 + i, bus, source)).join('');
const open = (name: string, text: string | Uint8Array) => openBytes(name, typeof text === 'string' ? Buffer.from(text) : text);
const read = (...logs: readonly (readonly [string, string])[]): Promise<Day> => readOpenedLogs(logs.map(([name, text]) => open(name, text)));
const wheels = (day: Day): Channel[] => day.channels.filter(({ id }) => id === 'wheel.speed');

describe('read-logs: one log', () => {
  test('its channels, seconds from the day’s start, and its account', async () => {
    const text = lines(START + 0.25, 100) + '(1.0) can0 123#1\n';
    const day = await read(['a.log', text]);
    expect(day.start).toBe(START);
    expect(day.duration).toBeCloseTo(0.25 + 9.9, 5);
    const [wheel] = wheels(day);
    expect(wheel).toMatchObject({ unit: 'm/s', source: { file: 'a.log', bus: 'can0', sourceAddress: 0x22, pgn: 65096 } });
    expect(wheel?.time[0]).toBeCloseTo(0.25, 6);
    expect(wheel?.value[99]).toBeCloseTo(2.099, 6);
    expect(day.logs[0]).toMatchObject({
      file: 'a.log', format: 'candump', sha256: createHash('sha256').update(text).digest('hex'), start: START + 0.25, records: 100, badRecords: 1, clockOffset: 0,
      bytes: { total: text.length, accepted: text.length - 17, rejected: 17, ignored: 0 },
      bad: [{ offset: text.length - 17, line: 101, reason: 'data has an odd number of hexadecimal digits' }],
    });
    expect(day.messages).toMatchObject([{ pgn: 65096, sourceAddress: 0x22, count: 100, decoded: true }]);
  });

  test('a pause longer than 5 s and 20 intervals is a gap', async () => {
    const day = await read(['a.log', lines(START, 100) + lines(START + 60, 100)]);
    expect(day.gaps).toHaveLength(1);
    expect(day.gaps[0]?.span.start).toBeCloseTo(9.9, 5);
    expect(day.gaps[0]?.span.end).toBeCloseTo(60, 5);
  });

  test('slow logs have no gaps where every interval is long', async () => {
    expect((await read(['a.log', lines(START, 50, 10)])).gaps).toEqual([]);
  });

  test('gz cut in the middle: what came before is kept, the place is told', async () => {
    const text = lines(START, 20_000);
    const packed = gzipSync(text);
    const day = await readOpenedLogs([open('a.log.gz', packed.subarray(0, packed.length / 2))]);
    const [log] = day.logs;
    expect(log?.records).toBeGreaterThan(8000);
    expect(log?.bad.at(-1)).toEqual({ offset: log?.bytes.total, reason: 'compressed data is cut off: the file ends before its end mark' });
    expect(log?.notes.join(' ')).toContain('cut off');
  });

  test('a log without wall clock starts at 0', async () => {
    const day = await read(['a.log', lines(12.5, 100)]);
    expect(day.start).toBe(0);
    expect(wheels(day)[0]?.time[0]).toBe(0);
    expect(day.logs[0]?.start).toBeNaN();
    expect(day.logs[0]?.notes.join(' ')).toContain('no wall clock');
  });
});

describe('read-logs: clocks that misbehave (quality R11)', () => {
  const total = (day: Day): number => wheels(day).reduce((sum, { time }) => sum + time.length, 0);
  const monotone = ({ time }: Channel): boolean => time.every((t, i) => i === 0 || t >= (time[i - 1] as number));

  test.each([['1 s', 1], ['1 h', 3600], ['10 s', 10]])('set back by %s: nothing dropped, nothing sorted, told', async (_, by) => {
    const day = await read(['a.log', lines(START + 7200, 200) + lines(START + 7220 - by, 400)]);
    expect(total(day)).toBe(600);
    expect(wheels(day).every(monotone)).toBe(true);
    expect(wheels(day)[1]?.source.note).toBe('after a clock step back');
    expect(day.logs[0]?.notes.join(' ')).toMatch(/out of order|set back once/);
  });

  test('records a little out of order between two buses are no step back', async () => {
    const day = await read(['a.log', Array.from({ length: 100 }, (_, i) => wheelLine(START + i * 0.1 + 0.002, 2000, 'can0') + wheelLine(START + i * 0.1, 2000, 'can1')).join('')]);
    expect(wheels(day).map(({ time, source }) => [time.length, source.note])).toEqual([[100, undefined], [100, undefined]]);
    expect(day.logs[0]?.notes.join(' ')).toContain('100 records are out of order by up to 0.002 s.');
  });

  test.each([['1970', 100], ['ten years ahead', START + 315_360_000], ['a GPS week rollover back', START - 1024 * 7 * 86_400]])('clock far off at first (%s): put beside the rest and kept apart', async (_, wrong) => {
    const day = await read(['a.log', lines(wrong, 50) + lines(START, 500)]);
    expect(day.start).toBe(START - 5);
    expect(day.duration).toBeLessThan(60);
    expect(wheels(day).map(({ time }) => time.length)).toEqual([500, 50]);
    expect(wheels(day)[1]?.source.note).toBe('while the clock was far off');
    expect(wheels(day).every(monotone)).toBe(true);
    expect(wheels(day)[1]?.time.at(-1)).toBeCloseTo(5, 1);
    expect(day.logs[0]?.notes.join(' ')).toContain('during 50 records, far from the rest of the log');
  });

  test('equal stamps stay in file order', async () => {
    const day = await read(['a.log', lines(START, 50, 0)]);
    expect(wheels(day)[0]?.time.length).toBe(50);
    expect(wheels(day)[0]?.value[49]).toBeCloseTo(2.049, 6);
  });
});

describe('read-logs: several logs are one day', () => {
  test('a recorder that starts a new file every hour gives one channel', async () => {
    const day = await read(['b.log', lines(START + 3600, 100)], ['a.log', lines(START, 100)]);
    expect(day.start).toBe(START);
    expect(wheels(day)).toHaveLength(1);
    expect(wheels(day)[0]).toMatchObject({ source: { file: 'a.log + b.log' } });
    expect(wheels(day)[0]?.time.length).toBe(200);
  });

  test('two senders and two recorders at the same time stay apart, the longest first', async () => {
    const day = await read(['short.log', lines(START, 100)], ['long.log', lines(START, 2000) + lines(START + 300, 500, 0.1, 'can0', '23')]);
    expect(wheels(day).map(({ source, time }) => [source.file, source.sourceAddress, time.length])).toEqual([
      ['long.log', 0x22, 2000], ['short.log', 0x22, 100], ['long.log', 0x23, 500]]);
  });

  test('the same log given twice counts once', async () => {
    const day = await read(['a.log', lines(START, 100)], ['copy.log', lines(START, 100)]);
    expect(wheels(day)).toHaveLength(1);
    expect(day.logs[1]?.notes[0]).toContain('same bytes');
  });

  test('logs of different days are refused', async () => {
    await expect(read(['a.log', lines(START, 10)], ['b.log', lines(START + 86_400 * 30, 10)])).rejects.toThrow('a.log is of 2025-05-06 and b.log of 2025-06-05');
  });
});

describe('read-logs: csv', () => {
  const text = 'time,wheel.speed [km/h],Fan upper,Operator,gnss.course,fan.2.speed [kg]\n2026-05-06T12:00:00Z,36,3500,A,180,1\n2026-05-06T12:00:01Z,,3510,B,90,1\n2026-05-06T12:00:02Z,18,3520,C,0,1\n';

  test('columns become channels in SI, an empty cell is no sample, the others are told with suggestions', async () => {
    const day = await read(['day.csv', text]);
    expect(day.start).toBe(Date.UTC(2026, 4, 6, 12) / 1000);
    expect(day.channels.map(({ id, unit, time, value, source }) => ({ id, unit, time: [...time], value: [...value], source }))).toEqual([
      { id: 'gnss.course', unit: 'rad', time: [0, 1, 2], value: [Math.PI, Math.PI / 2, 0], source: { file: 'day.csv', column: 'gnss.course' } },
      { id: 'wheel.speed', unit: 'm/s', time: [0, 2], value: [10, 5], source: { file: 'day.csv', column: 'wheel.speed [km/h]' } },
    ]);
    expect(day.logs[0]?.unknownColumns).toEqual([{ heading: 'Fan upper', suggestions: expect.arrayContaining(['fan.1.speed']) }, { heading: 'Operator', suggestions: [] }, { heading: 'fan.2.speed [kg]', suggestions: ['fan.2.speed'] }]);
    expect(day.logs[0]?.notes.join(' ')).toContain('Column "fan.2.speed [kg]" gives fan.2.speed the unit "kg", which does not fit');
  });

  test('a columns file gives further columns their meaning', async () => {
    const columns = parseColumns('{"columns":{"Fan upper":{"channel":"fan.1.speed","unit":"rpm"}}}', 'columns.json');
    const day = await readOpenedLogs([open('day.csv', text)], { columns });
    expect(day.channels.find(({ id }) => id === 'fan.1.speed')?.value).toEqual(Float64Array.from([3500, 3510, 3520]));
  });

  test('candump and csv of one day stand on one clock', async () => {
    const noon = Date.UTC(2026, 4, 6, 12) / 1000;
    const day = await read(['can.log', lines(noon - 10, 200)], ['day.csv', text]);
    expect(day.start).toBe(noon - 10);
    expect(wheels(day).map(({ source, time }) => [source.file, time[0]])).toEqual([['can.log', 0], ['day.csv', 10]]);
  });
});

describe('read-logs: refusals, progress and cancel', () => {
  test.each([
    ['', /a\.log is empty/],
    ['PK\u0003\u0004 and more', /is a zip archive/],
    ['\0'.repeat(100), /begins with 100 zero bytes/],
    ['a shopping list\nmilk\n', /is in no known log format/],
    ['(1.0) can0 123#1\n(2.0) can0 123#1\n', /not one record is usable; the first bad record: data has an odd number/],
  ])('%j: %s', async (text, message) => {
    await expect(read(['a.log', text])).rejects.toThrow(InputError);
    await expect(read(['a.log', text])).rejects.toThrow(message);
  });

  test('a compressed log that is damaged from the start is not called empty', async () => {
    await expect(readOpenedLogs([open('a.log.gz', gzipSync('abc').subarray(0, 10))])).rejects.toThrow(/^a\.log\.gz: the compressed data is cut off.*nothing could be unpacked/);
  });

  test('progress rises to the file’s size', async () => {
    const seen: number[] = [];
    const text = lines(START, 30_000);
    await readOpenedLogs([open('a.log', text)], { onProgress: ({ bytes, total, file }) => { if (file === 'a.log' && total === text.length) seen.push(bytes); } });
    expect(seen.length).toBeGreaterThan(2);
    expect(seen.every((bytes, i) => i === 0 || bytes >= (seen[i - 1] as number))).toBe(true);
    expect(seen.at(-1)).toBe(text.length);
  });

  test('a cancel is heeded before much more is read, also in the middle of one long log', async () => {
    const cancel = new AbortController();
    const block = Buffer.from(lines(START, 2000));
    let given = 0;
    const endless = { ...open('a.log', block), size: 0, bytes: async function* () {
      for (;;) {
        given++;
        if (given === 20) cancel.abort();
        yield block;
      }
    } };
    await expect(readOpenedLogs([endless], { signal: cancel.signal })).rejects.toThrow(/abort/i);
    /* The block in hand, and those a stream reads ahead. */
    expect(given).toBeLessThanOrEqual(20 + 16);
  });

  test('a cancel from outside, such as a key, comes through while a log is being read', async () => {
    const cancel = new AbortController();
    const block = Buffer.from(lines(START, 2000));
    let given = 0;
    const endless = { ...open('a.log', block), size: 0, bytes: async function* () {
      for (; given < 20_000; given++) yield block;
    } };
    setImmediate(() => cancel.abort());
    await expect(readOpenedLogs([endless], { signal: cancel.signal })).rejects.toThrow(/abort/i);
    expect(given).toBeLessThan(20_000);
  });
});

const REAL = path.resolve(import.meta.dirname, '../../../shared/real-logs');
describe.skipIf(!existsSync(REAL))('read-logs: real recordings are read or refused in one sentence', () => {
  const files = existsSync(REAL) ? readdirSync(REAL, { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile() && !/LICENSES/.test(entry.parentPath)).map((entry) => path.relative(REAL, path.join(entry.parentPath, entry.name))).sort() : [];
  test.each(files)('%s', async (file) => {
    const day = await readLogs([path.join(REAL, file)]).catch((error: unknown) => {
      if (error instanceof InputError) return undefined;
      throw error;
    });
    for (const { time } of day?.channels ?? []) expect(time.every((t, i) => Number.isFinite(t) && (i === 0 || t >= (time[i - 1] as number)))).toBe(true);
    expect(day?.logs[0]?.records ?? 1).toBeGreaterThan(0);
  });
});
