import * as fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { countPerCell, interpolateCounter, unwrapCounter } from '../../src/series/counter.ts';

const seconds = (length: number): number[] => Array.from({ length }, (_, i) => i);

describe('unwrapCounter', () => {
  test.each([8, 16, 24, 32])('finds out by itself that the counter turns over at 2^%d', (bits) => {
    const modulus = 2 ** bits;
    const value = seconds(60).map((t) => (modulus - 500 / (40 - bits) + t * (modulus / 400)) % modulus);
    const unwrapped = unwrapCounter(seconds(60), value);
    unwrapped.forEach((count, t) => expect(count - (unwrapped[0] as number)).toBeCloseTo(t * (modulus / 400), 3));
  });

  test('a modulus given is used: a scaled counter of 0.5 mm that turns over at 1000 m', () => {
    const value = seconds(50).map((t) => (990 + 2.5 * t) % 1000);
    const unwrapped = unwrapCounter(seconds(50), value, { modulus: 1000 });
    expect((unwrapped[49] as number) - (unwrapped[0] as number)).toBeCloseTo(49 * 2.5, 9);
  });

  test('a reset counts what the counter shows after it, if that is an ordinary step; else nothing', () => {
    expect([...unwrapCounter([0, 1, 2, 3, 4, 5], [5000, 5010, 5020, 4, 14, 24])]).toEqual([5000, 5010, 5020, 5024, 5034, 5044]);
    expect([...unwrapCounter([0, 1, 2, 3, 4, 5], [5000, 5010, 5020, 3000, 3010, 3020])]).toEqual([5000, 5010, 5020, 5020, 5030, 5040]);
  });

  test('quiet: a counter that stands, or only rises, is itself; NaN stays NaN and the count goes on', () => {
    expect([...unwrapCounter([0, 1, 2], [7, 7, 7])]).toEqual([7, 7, 7]);
    expect([...unwrapCounter([0, 1, 2, 3], [1, Number.NaN, 5, 6])]).toEqual([1, Number.NaN, 5, 6]);
  });

  test('undoes any wrapping of a steady enough counter, and never runs back', () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 40, max: 100 }), { minLength: 5, maxLength: 200 }), fc.integer({ min: 0, max: 65_535 }), (steps, first) => {
        const truth: number[] = [first];
        for (const step of steps) truth.push((truth.at(-1) as number) + step);
        const unwrapped = unwrapCounter(
          seconds(truth.length),
          truth.map((count) => count % 65_536),
        );
        expect([...unwrapped].map((count) => count - (unwrapped[0] as number))).toEqual(truth.map((count) => count - first));
      }),
    );
  });
});

describe('interpolateCounter and countPerCell', () => {
  const time = [0.5, 1.5, 2.5, 10.5, 11.5];
  const value = [100, 110, 120, 200, 210];

  test('linear at the start of each cell, nothing outside and across a long pause', () => {
    const counts = interpolateCounter(time, value, 0, 1, 13, { longestGap: 3 });
    expect([...counts]).toEqual([Number.NaN, 105, 115, ...Array<number>(8).fill(Number.NaN), 205, Number.NaN]);
    expect(interpolateCounter(time, value, 4, 1, 1, { longestGap: 10 })[0]).toBe(135);
  });

  test('on samples it is the samples', () => {
    expect([...interpolateCounter([0, 1, 2], [5, 6, 8], 0, 1, 3, { longestGap: 1 })]).toEqual([5, 6, 8]);
    expect([...interpolateCounter([0, 0, 1], [5, 6, 8], 0, 1, 2, { longestGap: 1 })]).toEqual([5, 8]);
  });

  test('what is counted in the cells is what was counted in all', () => {
    const cells = countPerCell(time, value, 1, 0.5, 20, { longestGap: 10 });
    expect(cells.reduce((sum, count) => sum + count, 0)).toBeCloseTo(205 - 105, 9);
  });
});
