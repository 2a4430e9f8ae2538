import * as fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { holdPerCell, indexAtOrBefore, meanPerCell, valueAt } from '../../src/series/resample.ts';

const sortedTimes = fc.array(fc.integer({ min: -20, max: 100 }), { maxLength: 60 }).map((ticks) => ticks.map((t) => t / 4).toSorted((a, b) => a - b));

describe('indexAtOrBefore', () => {
  test('the last at or before, -1 before the first', () => {
    expect([-1, 0, 0.5, 1, 2, 9].map((t) => indexAtOrBefore([0, 1, 1, 2], t))).toEqual([-1, 0, 0, 2, 3, 3]);
    expect(indexAtOrBefore([], 5)).toBe(-1);
  });

  test('agrees with looking through', () => {
    fc.assert(
      fc.property(sortedTimes, fc.integer({ min: -30, max: 110 }), (time, quarter) => {
        expect(indexAtOrBefore(time, quarter / 4)).toBe(time.findLastIndex((t) => t <= quarter / 4));
      }),
    );
  });
});

test('valueAt is linear between neighbours and knows no more', () => {
  const at = (t: number): number => valueAt([0, 2, 4, 6], [1, 5, Number.NaN, 7], t);
  expect([at(0), at(0.5), at(2), at(6)]).toEqual([1, 2, 5, 7]);
  expect([at(-0.1), at(3), at(4), at(5), at(6.1)]).toEqual(Array(5).fill(Number.NaN));
  expect(valueAt([0, 1, 1, 2], [0, 1, 10, 11], 1)).toBe(10);
});

describe('meanPerCell', () => {
  test('means of what is there; NaN for an empty cell or one of NaN only', () => {
    const time = [0, 0.5, 1, 1.9, 2.5, 4.1];
    const value = [1, 3, 5, Number.NaN, Number.NaN, 9];
    expect([...meanPerCell(time, value, 0, 1, 5)]).toEqual([2, 5, Number.NaN, Number.NaN, 9]);
    expect([...meanPerCell(time, value, 4, 2, 2)]).toEqual([9, Number.NaN]);
    expect([...meanPerCell([], [], 0, 1, 2)]).toEqual([Number.NaN, Number.NaN]);
  });

  test('agrees with filtering, cell by cell', () => {
    fc.assert(
      fc.property(sortedTimes, fc.integer({ min: -8, max: 8 }), fc.constantFrom(0.5, 1, 2.5), (time, start, step) => {
        const value = time.map((t, i) => t * 3 + i);
        const means = meanPerCell(time, value, start, step, 12);
        means.forEach((mean, cell) => {
          const inside = value.filter((_, i) => Math.floor(((time[i] as number) - start) / step) === cell);
          const naive = inside.reduce((sum, x) => sum + x, 0) / inside.length;
          expect(Object.is(mean, naive) || Math.abs(mean - naive) < 1e-9).toBe(true);
        });
      }),
    );
  });
});

describe('holdPerCell', () => {
  test('the latest sample at the middle of the cell, as long as it may be held', () => {
    const time = [0.2, 2.6, 7];
    const value = [1, 2, 3];
    expect([...holdPerCell(time, value, 0, 1, 8, 3)]).toEqual([1, 1, 1, 2, 2, 2, Number.NaN, 3]);
    expect(holdPerCell(time, value, -2, 1, 2, 3)).toEqual(Float64Array.of(Number.NaN, Number.NaN));
  });

  test('a sample that says not available ends the hold', () => {
    expect([...holdPerCell([0, 2], [1, Number.NaN], 0, 1, 4, 100)]).toEqual([1, 1, Number.NaN, Number.NaN]);
  });
});
