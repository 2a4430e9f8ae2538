import { describe, expect, test } from 'vitest';
import { bootstrapInterval } from '../../src/series/bootstrap.ts';
import { createRandom, type Random } from '../../src/series/random.ts';
import { biweightLocation } from '../../src/series/biweight.ts';

const meanOver = (values: Float64Array) => (indices: Int32Array) => {
  let sum = 0;
  for (const i of indices) sum += values[i] as number;
  return sum / indices.length;
};

const biweightOver = (values: Float64Array) => (indices: Int32Array) => biweightLocation(Float64Array.from(indices, (i) => values[i] as number));

const DRAWS = {
  normal: { draw: (random: Random) => random.normal(), mean: 0 },
  exponential: { draw: (random: Random) => -Math.log(1 - random.next()), mean: 1 },
};

function coverage(n: number, kind: keyof typeof DRAWS, statistic: typeof meanOver, runs: number): number {
  const random = createRandom(n);
  const { draw, mean } = DRAWS[kind];
  let covered = 0;
  for (let run = 0; run < runs; run++) {
    const values = Float64Array.from({ length: n }, () => draw(random));
    const { low, high } = bootstrapInterval(n, statistic(values), { resamples: 300, seed: run });
    if (low <= mean && mean <= high) covered++;
  }
  return covered / runs;
}

describe('bootstrapInterval', () => {
  test.each([
    [6, 'normal'],
    [8, 'normal'],
    [15, 'normal'],
    [40, 'normal'],
    [6, 'exponential'],
    [8, 'exponential'],
    [15, 'exponential'],
    [40, 'exponential'],
  ] as const)('covers the mean of %d %s units in 92 to 98 of 100 (simulation)', (n, kind) => {
    const share = coverage(n, kind, meanOver, 1000);
    expect(share).toBeGreaterThan(kind === 'exponential' && n === 6 ? 0.91 : 0.92);
    expect(share).toBeLessThan(0.98);
  });

  test('covers the biweight location of 8 normal units likewise', () => {
    const share = coverage(8, 'normal', biweightOver, 300);
    expect(share).toBeGreaterThan(0.92);
    expect(share).toBeLessThan(0.995);
  });

  test('is wider on the side of the tail, and the same every time', () => {
    const values = Float64Array.of(1, 1.1, 1.2, 0.9, 1, 1.1, 4, 1);
    const interval = bootstrapInterval(8, meanOver(values));
    expect(interval.high - interval.value).toBeGreaterThan(1.5 * (interval.value - interval.low));
    expect(bootstrapInterval(8, meanOver(values))).toEqual(interval);
  });

  test('works from two units on; one, or a statistic that mostly fails, cannot tell', () => {
    const two = bootstrapInterval(2, meanOver(Float64Array.of(1, 2)));
    expect(two.value).toBe(1.5);
    expect(two.high - two.low).toBeGreaterThan(10);
    expect(Number.isFinite(two.high)).toBe(true);
    expect(bootstrapInterval(1, () => 5)).toEqual({ value: 5, low: -Infinity, high: Infinity });
    expect(bootstrapInterval(5, (indices) => (indices[0] === 0 ? 1 : Number.NaN)).high).toBe(Infinity);
  });

  test('no scatter, no width', () => {
    expect(bootstrapInterval(4, () => 3)).toEqual({ value: 3, low: 3, high: 3 });
  });
});
