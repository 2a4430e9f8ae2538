import { expect, test } from 'vitest';
import { candump } from '../../../src/formats/candump/candump.ts';
import { createRandom } from '../damage.ts';
import { record } from '../recording-sink.ts';

const USUAL = ['(1746532800.001079) can1 0CF00400#F87D7D4638FFFFFF', '(9999999999.999999) vcan0 98f0142b#0123456789abcdef', '(0000000001.000000) a 00000000#0000000000000000'];
/* A carriage return before the line feed sends a line the general way; both ways must read the same. */
const read = async (lines: readonly Buffer[], lineEnd: string): Promise<unknown> => {
  const { frames, rejected, ignored } = await record(candump, Buffer.concat(lines.flatMap((line) => [line, Buffer.from(lineEnd)])));
  return { frames, rejected: rejected.map(({ line, reason }) => ({ line, reason })), ignored };
};

test.each(USUAL)('%s reads the same at fixed places as digit by digit', async (line) => {
  const usual = await read([Buffer.from(line)], '\n');
  expect(usual).toEqual(await read([Buffer.from(line)], '\r\n'));
  expect(usual).toMatchObject({ frames: [{ data: line.slice(-16).toUpperCase() }], rejected: [] });
});

test('any byte put, lost or added anywhere in it reads the same both ways', async () => {
  const random = createRandom(7);
  const near = Buffer.from('(). #0129:/@AFGafg_R');
  const lines = Array.from({ length: 20_000 }, (_, n) => {
    const line = Buffer.from(USUAL[n % USUAL.length] as string);
    const at = random(line.length);
    const other = n % 2 === 0 ? near[random(near.length)] as number : random(256);
    const byte = other === 10 || other === 13 ? 32 : other;
    const [lost, put] = [[1, []], [1, [byte]], [0, [byte]]][random(3)] as [number, number[]];
    return Buffer.concat([line.subarray(0, at), Uint8Array.from(put), line.subarray(at + lost)]);
  });
  const usual = await read(lines, '\n');
  expect(usual).toEqual(await read(lines, '\r\n'));
  expect(usual).toMatchObject({ frames: expect.objectContaining({ length: expect.toSatisfy((n: number) => n > 3000 && n < 15_000) }) });
});

test.each([1, 2, 3, 5, 9])('cut off %i bytes before its end it is not a frame of eight bytes', async (lost) => {
  const line = Buffer.from(USUAL[0] as string);
  const result = await record(candump, line.subarray(0, line.length - lost));
  expect(result.frames).toEqual([]);
  expect(result.bytes.accepted).toBe(0);
});
