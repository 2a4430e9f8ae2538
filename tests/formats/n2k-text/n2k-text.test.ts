import { existsSync, readFileSync, readdirSync } from 'node:fs';
import path from 'node:path';
import { FromPgn } from '@canboat/canboatjs';
import { parseN2kString } from '@canboat/canboatjs/dist/stringMsg.js';
import { describe, expect, test } from 'vitest';
import { n2kText } from '../../../src/formats/n2k-text/n2k-text.ts';
import { readMessageLine } from '../../../src/formats/n2k-text/message-line.ts';
import { expectAccounted, testFormatContract } from '../contract.ts';
import { record, utf8, type Recording } from '../recording-sink.ts';
import { neighboursOf, samples } from '../samples.ts';

testFormatContract(n2kText, [samples.plainN2k], neighboursOf('plainN2k'));

const read = async (...lines: readonly string[]): Promise<Recording> => {
  const bytes = utf8(lines.map((line) => `${line}\n`).join(''));
  const result = await record(n2kText, bytes);
  expectAccounted(result, bytes.length);
  return result;
};

/** What canboatjs makes of the same line; its time stamps are not compared, since it replaces some by the wall clock. */
interface Reference { readonly pgn: number; readonly src: number; readonly dst: number; readonly prio: number; readonly data: Buffer }
const reference = (line: string, options = {}): Reference => parseN2kString(line, options) as unknown as Reference;

describe('NMEA 2000 text: the same message as canboatjs reads from the line', () => {
  test.each([
    '2016-02-28T19:57:02.364Z,2,127250,7,255,8,ff,10,3b,ff,7f,ce,f5,fc',
    '2016-02-28-19:57:02.364,2,127250,7,255,8,ff,10,3b,ff,7f,ce,f5,fc',
    '2016-04-09T16:41:29.992Z,6,59904,20,115,3,00,ee,00',
    '2017-04-15T14:59:56.000Z,3,129029,0,255,47,43,e7,95,3d,00,73,d6,29,00,da,04,73,db,c9,0e,05,80,30,cb,03,01,00,00,00,00,00,00,00,00,00,23,fc,08,6e,00,d2,00,5e,01,00,00,00,01,00,00,00,ff',
    'A764027.880 05FF7 1EF00 E59861060202FFFFFFFF03030000FFFFFFFFFFFFFFFFFFFF0000FFFFFF7FFFFFFF7FFFFFFF7F0000FF7F',
    'A173321.107 23FF7 1F513 012F3070002F30709F',
    '16:29:27.082 R 09F8017F 50 C3 B8 13 47 D8 2B C6',
    '16:29:27.082 T 18EA1C23 00 EE 00',
    '$PCDIN,01F119,00000000,0F,2AAF00D1067414FF*59',
    '\\s:serial,c:1696759212*3E\\$PCDIN,01F119,00000000,0F,2AAF00D1067414FF*59',
    '$MXPGN,01F801,2801,C1308AC40C5DE343*19',
    '!PDGY,126992,3,2,255,0.563,d2AeRbO4gh0=',
    '!PDGY,129039,4,43,255,481.706,ErZcAw6BGlf/h2BIHkP//wAABgAG//8AdAH/',
  ])('%s', (line) => {
    /* The sentence of MXPGN has the last byte first, as its gateways send it; canboatjs leaves that to a setting. */
    const expected = reference(line, { littleEndianMXPGN: true });
    const plausible = line.startsWith('A76') ? line.replace('A76', 'A16') : line;
    const found = readMessageLine(plausible);
    expect(found).toMatchObject({ pgn: expected.pgn, source: expected.src, destination: expected.dst, priority: expected.prio });
    expect(Buffer.from(typeof found === 'object' ? found.data : []).toString('hex')).toBe(expected.data.toString('hex'));
  });

  test('the example of MXPGN is a position on Earth, as canboatjs decodes it', () => {
    const found = readMessageLine('$MXPGN,01F801,2801,C1308AC40C5DE343*19');
    const data = Buffer.from(typeof found === 'object' ? found.data : []);
    const fields = new FromPgn({}).parseString('$MXPGN,01F801,2801,C1308AC40C5DE343*19') as unknown;
    expect(fields).toBeDefined();
    expect(Math.abs(data.readInt32LE(0) / 1e7)).toBeLessThan(90);
    expect(Math.abs(data.readInt32LE(4) / 1e7)).toBeLessThan(180);
  });
});

describe('NMEA 2000 text: times of our own', () => {
  const times = async (...lines: readonly string[]): Promise<number[]> => {
    const { frames, messages } = await read(...lines);
    return [...frames, ...messages].map(({ time }) => time);
  };
  const rest = '2,127250,7,255,8,ff,10,3b,ff,7f,ce,f5,fc';
  test.each([
    [`2016-02-28T19:57:02.364Z,${rest}`, '2016-02-28T19:57:02.364Z'],
    [`2016-02-28-19:57:02.364,${rest}`, '2016-02-28T19:57:02.364Z'],
    [`2009-06-18Z09:46:01.129,${rest}`, '2009-06-18T09:46:01.129Z'],
    [`2016-02-28-19:58:05,${rest}`, '2016-02-28T19:58:05Z'],
    [`2016-02-28T19:57:02.364,${rest}`, '2016-02-28T19:57:02.364Z'],
  ])('%s', async (line, iso) => {
    expect(await times(line)).toEqual([Date.parse(iso) / 1000]);
  });

  test('without a zone the day is read in the zone asked for, with one it is not', async () => {
    const lines = utf8(`2016-02-28-19:57:02.000,${rest}\n2016-02-28T19:57:02.000Z,${rest}\n`);
    const { frames, notes } = await record(n2kText, lines, { context: { zone: 'America/Regina' } });
    expect(frames.map(({ time }) => time)).toEqual([Date.parse('2016-02-29T01:57:02Z') / 1000, Date.parse('2016-02-28T19:57:02Z') / 1000]);
    expect(notes.join(' ')).toContain('1 times are written without a zone: read as America/Regina.');
  });

  test('time of day only: kept as seconds from midnight, on past midnight, and told', async () => {
    expect(await times('23:59:59.500 R 09F8017F 50 C3 B8 13 47 D8 2B C6', '00:00:00.250 R 09F8017F 50 C3 B8 13 47 D8 2B C6', '23:59:59.900 R 09F8017F 50 C3 B8 13 47 D8 2B C6')).toEqual([86_399.5, 86_400.25, 86_399.9]);
    expect(await times('A173321.107 23FF7 1F513 012F3070002F30709F')).toEqual([17 * 3600 + 33 * 60 + 21.107]);
    expect((await read('23:59:59.500 R 09F8017F 50 C3 B8 13 47 D8 2B C6')).notes.join(' ')).toContain('time of day without a date');
  });

  test('PDGY: the part behind the point is a whole number of milliseconds', async () => {
    expect(await times('!PDGY,127250,2,3,255,481.936,2C20AAAAAAE=', '!PDGY,127250,2,3,255,482.36,2C20AAAAAAE=', '!PDGY,127250,2,3,255,483.5,2C20AAAAAAE=')).toEqual([481.936, 482.036, 483.005]);
  });

  test('PCDIN: 1/1024 s since 2010, or since the gateway was switched on; canboatjs reads the same number', async () => {
    const [uptime] = await times('$PCDIN,01F119,0000180C,0F,2AAF00D1067414FF*23');
    const timer = (parseN2kString('$PCDIN,01F119,0000180C,0F,2AAF00D1067414FF*23', {}) as unknown as { readonly timer: number }).timer;
    expect((uptime as number) + 1_262_304_000).toBeCloseTo(timer / 1000, 6);
    const [dated] = await times('$PCDIN,01F119,FVVVVVVV,0F,2AAF00D1067414FF');
    expect(dated).toBeGreaterThan(1_262_304_000);
  });
});

describe('NMEA 2000 text: what is no message', () => {
  test.each([
    ['2016-02-28T19:57:02.364Z,2,127250,7,255,8,ff,10,3b', 'length 8, but 3 bytes follow'],
    ['2016-13-28T19:57:02.364Z,2,127250,7,255,1,ff', 'no such time'],
    ['2016-02-28T19:57:02.364Z,2,127250,777,255,1,ff', 'address 777'],
    ['2016-02-28T19:57:02.364Z;2;127250', 'not of the form time,priority'],
    ['16:29:27.082 R F9F8017F 50', 'more than 29 bits'],
    ['16:29:27.082 X 09F8017F 50', 'not of the form hh:mm:ss.mmm'],
    ['$PCDIN,01F119,00000000,0F,2AAF00D1067414FF*58', 'checksum 58 does not fit'],
    ['$MXPGN,01F801,2801,C1308AC40C5DE34*19', 'odd number'],
    ['!PDGY,129039,4,43,255,481.706,ErZ', 'no whole Base64'],
    ['A173321.107 23FF7 1F513 012', 'odd number'],
    ['a shopping list', 'neither a message nor a comment'],
  ])('rejected: %s → %s', async (line, reason) => {
    const { rejected, frames, messages } = await read(line);
    expect([frames, messages]).toEqual([[], []]);
    expect(rejected[0]?.reason).toContain(reason);
  });

  test('left out by rule: comments, reports of the gateway, sentences of other kinds, numbers of its own', async () => {
    const { ignored } = await read('# format=FAST', '', '$PDGY,000000,4,,5,482,1,0', '$GPZDA,120000.00,06,05,2026,00,00*62', '2011-04-25-06:24:59.772,0,262386,0,0,3,01,0e,00');
    expect(ignored).toEqual({ 'comment line': 1, 'empty line': 1, "gateway's own report": 1, "gateway's own message": 1, 'other NMEA 0183 sentence': 1 });
  });
});

const REAL = path.resolve(import.meta.dirname, '../../../../shared/real-logs/n2k');

describe.skipIf(!existsSync(REAL))('NMEA 2000 text: recordings', () => {
  /* Counts of real-logs/INDEX.md; those "not parsed" there are comments and lines of another sort. Four of the 8,927 of ikonvert.log are joined with another line: no record that can be trusted. */
  test.each([['simulator2.raw', 1784], ['ikonvert.log', 8927 - 4], ['sample-single.raw.txt', 658], ['sample-fast.raw.txt', 17], ['actisense-w2k-n2k.raw', 22]])('%s holds %i messages', async (file, count) => {
    const bytes = new Uint8Array(readFileSync(path.join(REAL, file)));
    expect(n2kText.sniff(bytes.subarray(0, 65_536))).toBeGreaterThan(0.9);
    const result = await record(n2kText, bytes, { pieces: 4096 });
    expectAccounted(result, bytes.length);
    expect(result.records + (result.ignored["gateway's own message"] ?? 0)).toBe(count);
  });

  test('ikonvert.log: with milliseconds read as written, its clock never goes back', async () => {
    const { messages } = await record(n2kText, new Uint8Array(readFileSync(path.join(REAL, 'ikonvert.log'))));
    expect(messages.filter(({ time }, i) => time < (messages[i - 1]?.time ?? 0))).toEqual([]);
  });

  const inputs = existsSync(REAL) ? readdirSync(path.join(REAL, 'canboat-tests')).filter((name) => name.endsWith('.in')) : [];
  test.each(inputs)('canboat-tests/%s: nothing is rejected', async (name) => {
    const bytes = new Uint8Array(readFileSync(path.join(REAL, 'canboat-tests', name)));
    expect(n2kText.sniff(bytes)).toBeGreaterThan(0.5);
    const result = await record(n2kText, bytes);
    expect(result.rejected).toEqual([]);
    expectAccounted(result, bytes.length);
  });
});
