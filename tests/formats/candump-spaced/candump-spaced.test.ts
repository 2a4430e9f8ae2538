import { parseCandump1, parseCandump2 } from '@canboat/canboatjs/dist/stringMsg.js';
import { describe, expect, test } from 'vitest';
import { candumpSpaced } from '../../../src/formats/candump-spaced/candump-spaced.ts';
import { expectAccounted, testFormatContract } from '../contract.ts';
import { record, utf8, type Frame } from '../recording-sink.ts';
import { neighboursOf, samples } from '../samples.ts';

testFormatContract(candumpSpaced, [samples.spaced], neighboursOf('spaced'));

const one = async (line: string): Promise<Frame | string> => {
  const result = await record(candumpSpaced, utf8(`${line}\n`));
  expectAccounted(result, utf8(line).length + 1);
  return result.frames[0] ?? result.rejected[0]?.reason ?? Object.keys(result.ignored)[0] ?? 'nothing';
};
const frame = (time: number, bus: string, id: number, extended: boolean, data: string): Frame => ({ time, bus, id, extended, data });

describe('candump screen output: lines as can-utils candump.c and lib.c print them', () => {
  test.each<[string, string, Frame]>([
    ['plain', '  can0  0DF80401   [8]  FF 7F FF 7F FF FF FF FF', frame(NaN, 'can0', 0x0df80401, true, 'FF7FFF7FFFFFFFFF')],
    ['11 bit', '  vcan0  7FF   [1]  00', frame(NaN, 'vcan0', 0x7ff, false, '00')],
    ['11 bit, indented', '  can0       123   [2]  01 02', frame(NaN, 'can0', 0x123, false, '0102')],
    ['no data', '  can0  123   [0] ', frame(NaN, 'can0', 0x123, false, '')],
    ['absolute time (-ta)', ' (1502979132.106111)  can0  123   [1]  01', frame(1502979132.106111, 'can0', 0x123, false, '01')],
    ['date (-tA)', ' (2017-08-17 14:12:12.106111)  can0  123   [1]  01', frame(1502979132.106111, 'can0', 0x123, false, '01')],
    ['from zero (-tz)', ' (003.250000)  can0  123   [1]  01', frame(3.25, 'can0', 0x123, false, '01')],
    ['nanoseconds (-N)', ' (1502979132.123456789)  can0  123   [1]  01', frame(1502979132 + 0.123456789, 'can0', 0x123, false, '01')],
    ['received, flags (-x)', '  can0  RX - -  123   [1]  01', frame(NaN, 'can0', 0x123, false, '01')],
    ['transmitted, flags (-x)', ' (1.000000)  can0  TX B E  0CFE4822   [1]  01', frame(1, 'can0', 0x0cfe4822, true, '01')],
    ['ASCII column (-a)', "  can0  123   [3]  41 27 43               'A'C'", frame(NaN, 'can0', 0x123, false, '412743')],
    ['swapped (-S)', '  can0  123   [3]  33`22`11', frame(NaN, 'can0', 0x123, false, '112233')],
    ['binary (-i)', '  can0  123   [2]  00000001 10000000', frame(NaN, 'can0', 0x123, false, '0180')],
    ['binary, swapped', '  can0  123   [2]  10000000`00000001', frame(NaN, 'can0', 0x123, false, '0180')],
    ['raw length code (-8)', '  can0  123   {F}  11 22 33 44 55 66 77 88', frame(NaN, 'can0', 0x123, false, '1122334455667788')],
    ['old embedded form', '<0x18eeff01> [8] 05 a0 be 1c 00 a0 a0 c0 ', frame(NaN, 'can0', 0x18eeff01, true, '05A0BE1C00A0A0C0')],
    ['old embedded form, 11 bit', '<0x123> [1] 05', frame(NaN, 'can0', 0x123, false, '05')],
    ['CRLF', '  can0  123   [1]  05\r', frame(NaN, 'can0', 0x123, false, '05')],
  ])('%s', async (_, line, expected) => {
    const found = (await one(line)) as Frame;
    expect({ ...found, time: 0 }).toEqual({ ...expected, time: 0 });
    expect(Number.isNaN(expected.time) ? Number.isNaN(found.time) : Math.abs(found.time - expected.time) < 1e-6).toBe(true);
  });

  test.each([
    ['  can0  123   [8]  remote request', 'remote frame'],
    ['  can0  20000004   [8]  00 04 00 00 00 00 00 00   ERRORFRAME', 'error frame'],
    ['\tcontroller-problem{rx-overflow}', 'description of an error frame'],
    ['  can0  123  [12]  11 22 33 44 55 66 77 88 99 AA BB CC', 'CAN FD frame'],
    ['  can0  123  [08]  11 22 33 44 55 66 77 88', 'CAN FD frame'],
    ['', 'empty line'],
    ['interface = can0, family = 29, type = 3, proto = 1', 'recorder banner'],
    ["DROPCOUNT: dropped 1 CAN frame on 'can0' socket (total drops 1)", 'DROPCOUNT line'],
  ])('left out by rule: %s', async (line, rule) => {
    expect(await one(line)).toBe(rule);
  });

  test.each([
    ['  can0  123   [3]  11 22', 'not 3 bytes'],
    ['  can0  123   [2]  11 22 33', 'not 2 bytes'],
    ['  can0  123   [9]  11 22 33 44 55 66 77 88 99', 'at most 8'],
    ['  can0  823   [1]  11', 'more than 11 bits'],
    ['  can0  FFFFFFFF   [1]  1Z', 'error frame'],
    ['  can0  123   [1]  1Z', 'not 1 bytes'],
    [' (yesterday)  can0  123   [1]  11', 'neither seconds nor a date'],
    ['22 33 44', 'not of the form'],
    ['a shopping list', 'neither a record nor a comment'],
    ['\0\0\0', 'zero bytes'],
  ])('not a frame: %s → %s', async (line, reason) => {
    expect(await one(line)).toContain(reason);
  });

  test('differences to the frame before (-td) are told from times and added up', async () => {
    const steps = [0, 0.012, 0.003, 0.02, 0.001, 0.015, 0.002, 0.018, 0.001];
    const text = steps.map((step) => ` (${step.toFixed(6).padStart(10, '0')})  can0  123   [1]  01\n`).join('');
    const { frames, notes } = await record(candumpSpaced, utf8(text));
    let sum = 0;
    expect(frames.map(({ time }) => time)).toEqual(steps.map((step) => expect.closeTo((sum += step), 9)));
    expect(notes.join(' ')).toContain('differences');
    const rising = steps.map((_, i) => ` (${(i / 10).toFixed(6).padStart(10, '0')})  can0  123   [1]  01\n`).join('');
    const zero = await record(candumpSpaced, utf8(rising));
    expect(zero.notes).toEqual([]);
    expect(zero.frames[8]?.time).toBeCloseTo(0.8, 9);
  });

  test('identifier and data as canboatjs reads the forms that it knows', async () => {
    for (const [line, reference] of [['<0x18eeff01> [8] 05 a0 be 1c 00 a0 a0 c0', parseCandump1], ['can0  09F8027F   [8]  00 FC FF FF 00 00 FF FF', parseCandump2]] as const) {
      const expected = reference(line) as { readonly canId: number; readonly data: Buffer };
      const found = (await one(line)) as Frame;
      expect(found).toMatchObject({ id: expected.canId, data: expected.data.toString('hex').toUpperCase() });
    }
  });
});
