import { existsSync, readFileSync } from 'node:fs';
import path from 'node:path';
import { assert, asyncProperty, integer } from 'fast-check';
import { describe, expect, test } from 'vitest';
import { BATCH_FRAMES } from '../../../src/formats/log-format.ts';
import { candump } from '../../../src/formats/candump/candump.ts';
import { expectAccounted, testFormatContract } from '../contract.ts';
import { record, utf8, type Frame } from '../recording-sink.ts';
import { neighboursOf, samples } from '../samples.ts';

testFormatContract(candump, [samples.candump], neighboursOf('candump'));

const one = async (line: string): Promise<Frame | string> => {
  const result = await record(candump, utf8(`${line}\n`));
  expectAccounted(result, line.length + 1);
  return result.frames[0] ?? result.rejected[0]?.reason ?? Object.keys(result.ignored)[0] ?? 'nothing';
};
const frame = (time: number, bus: string, id: number, extended: boolean, data: string): Frame => ({ time, bus, id, extended, data });

describe('candump: lines as can-utils candump.c and lib.c write them', () => {
  test.each<[string, string, Frame]>([
    ['classic, 29 bit', '(1502979132.106111) can0 0DF80401#FF7FFF7FFFFFFFFF', frame(1502979132.106111, 'can0', 0x0df80401, true, 'FF7FFF7FFFFFFFFF')],
    ['classic, 11 bit', '(1502979132.106111) vcan0 7FF#00', frame(1502979132.106111, 'vcan0', 0x7ff, false, '00')],
    ['lower-case digits', '(0000000000.352000) vcan0 09f20101#601a00b706670d0b', frame(0.352, 'vcan0', 0x09f20101, true, '601A00B706670D0B')],
    ['no data', '(1.000000) can0 0CFE4822#', frame(1, 'can0', 0x0cfe4822, true, '')],
    ['interface right-justified', '(1.000000)     can0 0CFE4822#01', frame(1, 'can0', 0x0cfe4822, true, '01')],
    ['nanoseconds', '(1502979132.123456789) can0 123#01', frame(Number('1502979132.123456789'), 'can0', 0x123, false, '01')],
    ['from zero (-tz)', '(003.250000) can0 123#01', frame(3.25, 'can0', 0x123, false, '01')],
    ['data with dots', '(1.0) can0 123#11.2233.44', frame(1, 'can0', 0x123, false, '11223344')],
    ['raw data length code', '(1.0) can0 123#1122334455667788_F', frame(1, 'can0', 0x123, false, '1122334455667788')],
    ['received (-x)', '(1.0) can0 123#11 R', frame(1, 'can0', 0x123, false, '11')],
    ['transmitted (-x), CRLF', '(1.0) can0 123#11 T\r', frame(1, 'can0', 0x123, false, '11')],
    ['extended flag left in the identifier', '(1.0) can0 99F0142B#11', frame(1, 'can0', 0x19f0142b, true, '11')],
  ])('frame: %s', async (_, line, expected) => {
    expect(await one(line)).toEqual(expected);
  });

  test.each([
    ['(1.0) can0 20000080#0000000000000000', 'error frame'],
    ['(1.0) can0 123#R', 'remote frame'],
    ['(1.0) can0 0CFE4822#R8_F', 'remote frame'],
    ['(1.0) can0 123##0', 'CAN FD frame'],
    ['(1.0) can0 0CFE4822##511223344556677889900AABB R', 'CAN FD frame'],
    ['(1.0) can0 01123#80:00:12345678#1122', 'CAN XL frame'],
    ["DROPCOUNT: dropped 1 CAN frame on 'can0' socket (total drops 1)", 'DROPCOUNT line'],
    ['# any remark', 'comment line'],
    ['Recorder restarted by hand', 'comment line'],
    ['', 'empty line'],
  ])('left out by rule: %s → %s', async (line, rule) => {
    const result = await record(candump, utf8(`${line}\n`));
    expect(result).toMatchObject({ frames: [], rejected: [], ignored: { [rule]: 1 }, bytes: { ignored: line.length + 1 } });
  });

  test.each([
    ['(1.0) can0 123#1', 'odd number'],
    ['(1.0) can0 123#112233445566778899', '9 bytes'],
    ['(1.0) can0 123#11G2', "'G'"],
    ['(1.0) can0 8FF#11', 'more than 11 bits'],
    ['(1.0) can0 1234#11', '4 digits'],
    ['(1.0) can0 12X#11', 'not hexadecimal'],
    ['(1.0) can0 123', "no '#'"],
    ['(1,0) can0 123#11', 'time stamp'],
    ['(1.0000000001) can0 123#11', 'time stamp'],
    ['(1.0)can0 123#11', 'not of the form'],
    ['(1.0) can0 123#11_9', 'fewer than 8'],
    ['(1.0) can0 123#1122(1.1) can0 123#11', 'joined'],
    ['8) can0 0CFE4822#1122', 'piece of a record'],
    ['4822#112233', 'piece of a record'],
    ['\0\0\0\0', 'zero bytes'],
    ['(1.0) can0 123#1.1', "inside a data byte"],
  ])('rejected: %s → %s', async (line, reason) => {
    const result = await record(candump, utf8(`${line}\n`));
    expect(result.frames).toEqual([]);
    expect(result.rejected).toHaveLength(1);
    expect(result.rejected[0]?.reason).toContain(reason);
  });

  test('a bad line is told by byte offset and line number', async () => {
    const good = '(1.000000) can0 123#11\n';
    const result = await record(candump, utf8(`${good}${good}(2.0) can0 123#1\n${good}`));
    expect(result.records).toBe(3);
    expect(result.rejected).toEqual([{ offset: good.length * 2, line: 3, bytes: 17, reason: 'data has an odd number of hexadecimal digits' }]);
  });

  test('a last line without line end counts when it must be whole, and not when it may be cut', async () => {
    expect((await record(candump, utf8('(1.0) can0 123#1122334455667788'))).records).toBe(1);
    expect((await record(candump, utf8('(1.0) can0 123#112233'))).rejected).toEqual([{ offset: 0, line: 1, bytes: 21, reason: 'cut off at the end of the file' }]);
  });

  test('lost frames that the recorder counted are noted once per interface', async () => {
    const lines = [1, 2].map((total) => `DROPCOUNT: dropped 1 CAN frame on 'can0' socket (total drops ${total})\n`).join('');
    expect((await record(candump, utf8(lines))).notes).toEqual(['The recorder itself reports 2 lost frames on can0.']);
  });

  test('a line far too long is one bad record, however it is cut, and costs no memory', async () => {
    const bytes = utf8(`(1.0) can0 123#11\n(1.0) can0 123#${'00'.repeat(40_000)}\n${'\0'.repeat(300_000)}`);
    const whole = await record(candump, bytes);
    expect(whole.records).toBe(1);
    expect(whole.rejected.map(({ bytes: size }) => size)).toEqual([80_016, 300_000]);
    for (const pieces of [1000, 65_536, 70_000]) expect(await record(candump, bytes, { pieces })).toEqual(whole);
  });

  test('more frames than one batch holds', async () => {
    const count = BATCH_FRAMES * 2 + 5;
    const bytes = utf8(Array.from({ length: count }, (_, i) => `(${i}.500000) can${i % 3} 0CFE4822#${i.toString(16).padStart(16, '0')}\n`).join(''));
    const result = await record(candump, bytes, { pieces: 65_536 });
    expect(result.records).toBe(count);
    expect(result.frames.every((item, i) => item.time === i + 0.5 && item.bus === `can${i % 3}` && Number.parseInt(item.data, 16) === i)).toBe(true);
  });

  test('time stamps are the nearest double, as Number() reads the same digits', async () => {
    await assert(asyncProperty(integer({ min: 0, max: 4_102_444_800 }), integer({ min: 0, max: 999_999 }), async (seconds, micro) => {
      const text = `${seconds}.${String(micro).padStart(6, '0')}`;
      expect(((await one(`(${text}) can0 123#00`)) as Frame).time).toBe(Number(text));
    }), { numRuns: 300 });
  });
});

const REAL = path.resolve(import.meta.dirname, '../../../../shared/real-logs');

describe.skipIf(!existsSync(REAL))('candump: real recordings', () => {
  /* Counts of real-logs/INDEX.md. */
  test.each([['n2k/candumpSample3.txt', 2368], ['n2k/candump-fast.txt', 23], ['n2k/candump-fast-cr.txt', 23], ['n2k/actisense-522.candump.log', 106], ['isobus/agisostack-bus/bus.log', 5303]])('%s holds %i frames', async (file, frames) => {
    const bytes = new Uint8Array(readFileSync(path.join(REAL, file)));
    expect(candump.sniff(bytes.subarray(0, 65_536))).toBeGreaterThan(0.9);
    const result = await record(candump, bytes, { pieces: 4096 });
    expect(result.frames.length).toBe(frames);
    expect(result.rejected).toEqual([]);
    expectAccounted(result, bytes.length);
  });

  test.each(['n2k/candumpSample1.txt', 'n2k/can0-1.pcap', 'n2k/ikonvert.log', 'n2k/sample-single.raw.txt', 'n2k/simulator2.raw'])('%s is not mine', (file) => {
    expect(candump.sniff(new Uint8Array(readFileSync(path.join(REAL, file))).subarray(0, 65_536))).toBe(0);
  });
});
