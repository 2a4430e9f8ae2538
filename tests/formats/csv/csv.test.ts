import { array, assert, asyncProperty, constantFrom, double, integer, oneof, record as recordOf, string } from 'fast-check';
import { describe, expect, test } from 'vitest';
import { InputError } from '../../../src/core/errors.ts';
import { createCsvFormat, csv } from '../../../src/formats/csv/csv.ts';
import type { ReadingContext } from '../../../src/formats/log-format.ts';
import { expectAccounted, testFormatContract } from '../contract.ts';
import { record, utf8, type Recording } from '../recording-sink.ts';
import { neighboursOf, samples } from '../samples.ts';

const quoted = {
  name: 'csv with quotes, remarks, gaps, both line ends',
  records: 5,
  bytes: utf8('\uFEFFRecorder 7\r\nSeeding\r\ntime;wheel.speed [km/h];remark;tank.1.mass\r\n2026-05-06 12:00:00.5;8,1;"a; ""b""\nc";1.234,5\r\n'
    + '2026-05-06 12:00:01;;;\n2026-05-06 12:00:02;1;2\r\n\r\n2026-05-06 12:00:03;7,9;x;"5"\r\n2026-05-06 12:00:04;NaN;;6,25;;\r\n2026-05-06 12:00:05;7,95;;6,2575\r\n'),
};
testFormatContract(csv, [samples.csv, quoted], neighboursOf('csv'));

const T = Date.UTC(2026, 4, 6, 12) / 1000;
const read = (text: string, context?: ReadingContext): Promise<Recording> => record(csv, utf8(text), context === undefined ? {} : { context });
const column = (recording: Recording, heading: string): readonly (readonly [number, number])[] | undefined => recording.columns.find((candidate) => candidate.heading === heading)?.samples;

describe('csv: dialects as people have them', () => {
  const expected = [[T, 8.5], [T + 1, 9.25]];
  const rows = (separator: string, mark: string, end: string): string =>
    [`time${separator}wheel.speed [km/h]`, `2026-05-06T12:00:00Z${separator}8${mark}5`, `2026-05-06T12:00:01Z${separator}9${mark}25`, ''].join(end);
  test.each([
    ['comma', rows(',', '.', '\n')], ['semicolon', rows(';', '.', '\n')], ['semicolon, decimal comma', rows(';', ',', '\n')], ['tab, decimal comma', rows('\t', ',', '\r\n')],
    ['bar', rows('|', '.', '\n')], ['CRLF', rows(',', '.', '\r\n')], ['bare CR', rows(';', ',', '\r')], ['byte-order mark', `\uFEFF${rows(',', '.', '\n')}`],
    ['remarks above', `Recorder 7\nunit,3\n\n# made by hand\n${rows(',', '.', '\n')}`], ['no last line end', rows(',', '.', '\n').slice(0, -1)],
    ['all quoted', rows(',', '.', '\n').replaceAll(/[^,\n]+/g, '"$&"')], ['blanks around cells', rows(',', '.', '\n').replaceAll(',', ' , ')],
    ['heading row again further down', `${rows(',', '.', '\n')}time,wheel.speed [km/h]\n`], ['empty columns behind', rows(',', '.', '\n').replaceAll(/(?<=.)\n/g, ',,\n')],
  ])('%s', async (_, text) => {
    const result = await read(text);
    expectAccounted(result, utf8(text).length);
    expect(result.rejected).toEqual([]);
    expect(result.records).toBe(2);
    expect(column(result, 'wheel.speed [km/h]')).toEqual(expected);
  });

  test('a second row that holds units gives them to the headings', async () => {
    expect(column(await read('time;wheel.speed;fan.1.speed\n[s];[km/h];[rpm]\n0;8,5;3500\n'), 'wheel.speed [km/h]')).toEqual([[0, 8.5]]);
  });

  test('Windows-1252 headings', async () => {
    const bytes = Uint8Array.from([...utf8('time,oil.temperature ['), 0xb0, ...utf8('C]\n1,20\n')]);
    expect((await record(csv, bytes)).columns[0]?.heading).toBe('oil.temperature [°C]');
  });

  test('a heading that comes twice is kept apart and reported', async () => {
    const result = await read('time,run.1.count,run.1.count\n1,5,6\n');
    expect(result.columns).toEqual([{ heading: 'run.1.count', samples: [[1, 5]] }, { heading: 'run.1.count (2)', samples: [[1, 6]] }]);
    expect(result.notes).toEqual(['Headings that come more than once are kept apart by a number behind them: run.1.count.']);
  });
});

describe('csv: times', () => {
  test.each<[string, string, number, ReadingContext?]>([
    ['ISO, UTC', 'time\n2026-05-06T12:00:00.250Z', T + 0.25], ['ISO, offset', 'time\n2026-05-06T07:00:00-05:00', T], ['ISO, offset without colon', 'time\n2026-05-06 14:00:00+0200', T],
    ['ISO, no zone', 'time\n2026-05-06T12:00:00', T], ['ISO, zone of the farm', 'time\n2026-05-06T07:00:00', T, { zone: 'America/Chicago' }], ['ISO, to the minute', 'time\n2026-05-06 12:00', T],
    ['ISO, date only', 'time\n2026-05-06', T - 12 * 3600], ['seconds from start', 'time [s]\n12.5', 12.5], ['epoch', `time [s]\n${T}.5`, T + 0.5], ['milliseconds', `time [ms]\n${T}123`, T + 0.123],
    ['milliseconds in round brackets', `Time (ms)\n${T}123`, T + 0.123], ['epoch without unit', `time\n${T}`, T], ['epoch in milliseconds without unit', `time\n${T}250`, T + 0.25],
    ['points, day first', 'time\n06.05.2026 12:00:00,5', T + 0.5], ['year first', 'time\n2026/05/06 12:00:00', T], ['twelve hours', 'time\n5/26/2026 12:00:05 AM', T + 20 * 86_400 - 43_200 + 5],
    ['day first, as the unit says', 'time [D/M/Y]\n06/05/2026 12:00', T], ['month first, as the unit says', 'time [M/D/Y]\n05/06/26 12:00 pm', T], ['day first, as a later row shows', 'time\n26/05/2026 12:00', T + 20 * 86_400],
    ['timestamp', 'Timestamp\n2026-05-06T12:00:00Z', T], ['columns file', 'Zeit\n12500', 12.5, { timeColumn: { heading: 'Zeit', unit: 'ms' } }],
  ])('%s', async (_, text, time, context) => {
    const [heading = '', cell = ''] = text.split('\n');
    const result = await read(`${heading};fan.1.speed\n${cell};3500\n`, context);
    expect(result.rejected).toEqual([]);
    expect(column(result, 'fan.1.speed')).toEqual([[time, 3500]]);
  });

  test('day counts of a spreadsheet, told from seconds by their small steps', async () => {
    /* 2026-05-06 is day 46148 (spreadsheet function DATEVALUE, from memory; 25569 = 1970-01-01). */
    const serial = 25_569 + T / 86_400;
    const result = await read(`time,fan.1.speed\n${serial},1\n${(serial + 1 / 86_400).toFixed(9)},2\n`);
    expect(column(result, 'fan.1.speed')).toEqual([[T, 1], [T + 1, 2]]);
    expect(Math.floor(serial)).toBe(46_148);
    expect(column(await read('time,fan.1.speed\n43200,1\n43201,2\n'), 'fan.1.speed')).toEqual([[43_200, 1], [43_201, 2]]);
  });

  test('the hour that comes twice in autumn goes on, the one that is skipped in spring is told', async () => {
    const walls = ['01:30:00', '01:59:59', '01:00:00', '01:59:59', '02:00:00'].map((clock) => `2026-11-01T${clock},1\n`).join('');
    const result = await read(`time,fan.1.speed\n${walls}2026-03-08T02:30:00,1\n`, { zone: 'America/Chicago' });
    const noon = Date.UTC(2026, 10, 1, 6, 30) / 1000;
    expect(column(result, 'fan.1.speed')?.map(([time]) => time)).toEqual([noon, noon + 1799, noon + 1800, noon + 5399, noon + 5400, Date.UTC(2026, 2, 8, 8, 30) / 1000]);
    expect(result.notes).toEqual([expect.stringContaining('On 2026-11-01 the clocks of America/Chicago show one hour twice'), expect.stringContaining('On 2026-03-08')]);
  });

  test.each([['2026-02-30T00:00:00Z', 'cannot be read'], ['2026-05-06T24:30:00Z', 'cannot be read'], ['31.04.2026 12:00', 'cannot be read'], ['13:00', 'cannot be read'], ['', 'no time']])('a row whose time is "%s" is rejected: %s', async (cell, reason) => {
    const result = await read(`time,fan.1.speed\n2026-05-06T12:00:00Z,1\n${cell},2\n`);
    expect(result.rejected).toMatchObject([{ line: 3, offset: 40, reason: expect.stringContaining(reason) }]);
  });
});

describe('csv: cells and rows', () => {
  test.each(['', 'NaN', 'nan', 'NA', 'N/A', 'null', '-', '  '])('"%s" is no sample, never zero', async (cell) => {
    const result = await read(`time,tank.1.mass\n1,5\n2,${cell}\n3,6\n`);
    expect(column(result, 'tank.1.mass')).toEqual([[1, 5], [3, 6]]);
    expect(result.notes).toEqual([]);
  });

  test.each<[string, string, number]>([[';', '1.234,5', 1234.5], [',', '"1,234.5"', 1234.5], [';', "1'234,5", 1234.5], [';', '1 234,5', 1234.5], [';', '1\u00A0234\u00A0567,5', 1_234_567.5], [',', '1e3', 1000], [',', '-1.5E-2', -0.015], [',', '+7', 7], [',', '.5', 0.5], [',', '5.', 5], [',', 'true', 1], [',', 'OFF', 0]])('separator %s: %s is %d', async (separator, cell, value) => {
    expect(column(await read(`time${separator}tank.1.mass\n1${separator}${cell}\n`), 'tank.1.mass')).toEqual([[1, value]]);
  });

  test('other text counts as no sample and is told once per column that has numbers', async () => {
    const result = await read('time,tank.1.mass,remark\n1,5,start\n2,ERR,stop\n3,ERR,\n4,1e999,\n');
    expect(result.records).toBe(4);
    expect(result.notes).toEqual(['Column "tank.1.mass": 3 cells are no numbers, the first of them "ERR"; they count as no sample.']);
  });

  test('rows with too few or too many cells are rejected with their place', async () => {
    const result = await read('time,a,b\n1,2,3\n2,3\n3,4,5,6\n4,5,6\n');
    expect(result.records).toBe(2);
    expect(result.rejected).toEqual([
      { offset: 15, line: 3, bytes: 4, reason: '2 cells where the heading row has 3' }, { offset: 19, line: 4, bytes: 8, reason: '4 cells where the heading row has 3' }]);
  });

  test('a quote that is never closed costs one row, not the rest of the file', async () => {
    const result = await read(`time,a\n1,"x\n${Array.from({ length: 3000 }, (_, i) => `${i + 2},5\n`).join('')}`);
    expect(result.records).toBe(3000);
    expect(result.rejected).toEqual([{ offset: 7, line: 2, bytes: 5, reason: 'a quote is opened and never closed' }]);
  });

  test('zeros that a power cut left, at the end or amid the rows, cost only themselves', async () => {
    const rows = Array.from({ length: 400 }, (_, i) => `${i},5\n`);
    const bytes = utf8(`time,a\n${rows.slice(0, 200).join('')}${'\0'.repeat(60)}\n${rows.slice(200).join('')}${'\0'.repeat(90_000)}`);
    expect(csv.sniff(bytes.subarray(0, 65_536))).toBeGreaterThan(0.5);
    const result = await record(csv, bytes, { pieces: 4096 });
    expect(result.records).toBe(400);
    expect(result.rejected.map(({ bytes: size, reason }) => [size, reason])).toEqual([[61, 'zero bytes where a row should be'], [90_000, 'line of 90000 bytes, longest allowed is 65536']]);
  });

  test('the last cell of a file without last line end is not trusted when it is shorter than those above', async () => {
    expect(column(await read('time,a\n1,350\n2,35'), 'a')).toEqual([[1, 350]]);
    expect(column(await read('time,a\n1,350\n2,351'), 'a')).toEqual([[1, 350], [2, 351]]);
  });

  test.each([
    ['wheel.speed,fan.1.speed\n1,2\n', 'no column is headed time; the headings are wheel.speed, fan.1.speed.'],
    ['time [furlong],a\n1,2\n', 'is in "furlong", which is no known unit of time'],
    ['1,2\n3,4\n', 'no heading row'],
    ['time,a\n05/06/2026 12:00,2\n', 'the dates in column "time", for example 05/06/2026 12:00, may have the day or the month first'],
  ])('%j is refused: %s', async (text, message) => {
    await expect(read(text)).rejects.toThrow(InputError);
    await expect(read(text)).rejects.toThrow(message);
  });

  test('a column named __proto__ is a column', async () => {
    expect(column(await read('time,__proto__,constructor\n1,2,3\n'), '__proto__')).toEqual([[1, 2]]);
  });
});

describe('csv: the byte lane and PapaParse read the same', () => {
  const papaOnly = createCsvFormat({ lane: false });
  const number = oneof(integer({ min: -1e6, max: 1e6 }).map(String), double({ noNaN: true, noDefaultInfinity: true }).map(String), integer({ min: -99_999_999, max: 99_999_999 }).map((n) => (n / 1000).toFixed(3)));
  const cell = oneof({ weight: 20, arbitrary: number }, { weight: 3, arbitrary: constantFrom('', ' ', 'NaN', 'ERR', '-', '.', '+', '1.2.3', '--5', '0x10', '1e', '12 ', ' 7', '1 2', '\r', 'é', '"q"', '"a\nb"', '"1,5"', '"', 'a"b', '1,234') }, { weight: 1, arbitrary: string({ maxLength: 6 }) });
  const file = recordOf({
    separator: constantFrom(',', ';', '\t', '|'), end: constantFrom('\n', '\r\n', '\n', '\r'), comma: constantFrom(false, true), closed: constantFrom(true, true, false),
    rows: array(recordOf({ cells: array(cell, { minLength: 3, maxLength: 3 }), extra: constantFrom('', '', '', '', ',', '1', '\n') }), { minLength: 1, maxLength: 30 }),
  });
  const write = ({ separator, end, comma, closed, rows }: { separator: string; end: string; comma: boolean; closed: boolean; rows: readonly { cells: readonly string[]; extra: string }[] }): string => {
    const lines = rows.map(({ cells, extra }, i) => [`2026-05-06T12:00:${String(i).padStart(2, '0')}Z`, ...cells.map((text) => (comma && separator !== ',' ? text.replace('.', ',') : text))].join(separator) + extra);
    return [['time', 'a', 'b', 'c'].join(separator), ...lines].join(end) + (closed ? end : '');
  };

  test('on generated files, however they are cut', async () => {
    await assert(asyncProperty(file, constantFrom(1, 7, 1 << 20), async (content, pieces) => {
      const bytes = utf8(write(content));
      const outcomes = await Promise.all([[csv, 1 << 20], [papaOnly, 1 << 20], [csv, pieces]].map(([format, size]) =>
        record(format as typeof csv, bytes, { pieces: size as number }).catch((error: unknown) => {
          if (error instanceof InputError) return error.message;
          throw error;
        })));
      expect(outcomes[0]).toEqual(outcomes[1]);
      expect(outcomes[2]).toEqual(outcomes[0]);
    }), { numRuns: 400 });
  });

  test('numbers are the doubles that Number() reads, to the last bit', async () => {
    const decimal = oneof(double({ noNaN: true, noDefaultInfinity: true }).map(String), recordOf({ whole: integer({ min: 0, max: 999_999_999 }), part: integer({ min: 0, max: 999_999_999 }), minus: constantFrom('', '-') }).map(({ whole, part, minus }) => `${minus}${whole}.${part}`));
    await assert(asyncProperty(array(decimal, { minLength: 1, maxLength: 50 }), async (texts) => {
      const result = await read(`time,a\n${texts.map((text, i) => `${i},${text}\n`).join('')}`);
      expect(column(result, 'a')?.map(([, value]) => value)).toEqual(texts.map(Number));
    }), { numRuns: 300 });
  });
});
