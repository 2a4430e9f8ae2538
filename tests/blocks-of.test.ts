import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { Channel } from '../shared/channel.ts';
import { blocksOf } from '../src/blocks-of.ts';
import { firstMinMaxLast } from '../src/series/decimate.ts';

const channelOf = (steps: readonly number[], values: readonly number[]): Channel => {
  let now = 0;
  return { id: 'run.1.count', unit: '1/s', source: { file: 'a.csv' }, time: Float64Array.from(steps, (step) => (now += step)), value: Float64Array.from(values) };
};
const samples = fc.array(fc.tuple(fc.constantFrom(0, 0.1, 0.1, 0.2, 5), fc.oneof({ weight: 8, arbitrary: fc.double({ min: -100, max: 100, noNaN: true }) }, { weight: 2, arbitrary: fc.constant(Number.NaN) })), { minLength: 60, maxLength: 400 });

test('the kept extremes give exactly what a look at every sample gives (series/decimate)', () => {
  fc.assert(fc.property(samples, fc.double({ min: 0, max: 0.6, noNaN: true }), fc.double({ min: 0.61, max: 1.1, noNaN: true }), fc.integer({ min: 1, max: 9 }), (data, low, high, columns) => {
    const channel = channelOf(data.map(([step]) => step), data.map(([, value]) => value));
    const end = channel.time.at(-1) ?? 1;
    const [from, to] = [low * end, Math.max(high * end, low * end + 0.5)];
    const blocks = blocksOf(channel, from, to, columns);
    fc.pre(blocks.kind === 'blocks');
    const plain = firstMinMaxLast(channel.time, channel.value, from, to, columns);
    if (blocks.kind === 'blocks') expect({ first: blocks.first, min: blocks.min, max: blocks.max, last: blocks.last }).toEqual({ first: plain.first, min: plain.min, max: plain.max, last: plain.last });
  }), { seed: 1, numRuns: 400 });
});

test('few samples come as they are, with one beyond either edge', () => {
  const channel = channelOf([0, 1, 1, 1, 1], [1, 2, 3, 4, 5]);
  expect(blocksOf(channel, 1.5, 2.5, 100)).toMatchObject({ kind: 'samples', time: Float64Array.of(1, 2, 3), value: Float64Array.of(2, 3, 4) });
});
