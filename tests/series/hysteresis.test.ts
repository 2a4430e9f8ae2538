import * as fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { hysteresisSpans } from '../../src/series/spans.ts';

const times = (length: number): number[] => Array.from({ length }, (_, i) => i);
const below = { enter: 3, leave: 5, side: 'below' } as const;

describe('hysteresisSpans', () => {
  test('quiet: never beyond the limit, just at it, or empty', () => {
    expect(hysteresisSpans(times(4), [4, 3, 4, 9], below)).toEqual([]);
    expect(hysteresisSpans([], [], below)).toEqual([]);
  });

  test('enters below 3 and stays until back at 5', () => {
    expect(hysteresisSpans(times(8), [9, 2, 4, 2, 4.9, 5, 4, 9], below)).toEqual([{ start: 1, end: 5 }]);
  });

  test('above is the mirror image', () => {
    const options = { enter: 5, leave: 3, side: 'above' } as const;
    expect(hysteresisSpans(times(6), [0, 6, 4, 3.1, 3, 4], options)).toEqual([{ start: 1, end: 4 }]);
  });

  test('a NaN sample ends a span where it stands; so does the end of the series', () => {
    expect(hysteresisSpans(times(6), [2, 2, Number.NaN, 4, 2, 2], below)).toEqual([
      { start: 0, end: 2 },
      { start: 4, end: 5 },
    ]);
  });

  test('a pause in the samples ends it at the last one before; a new one must enter again', () => {
    expect(hysteresisSpans([0, 1, 2, 30, 31, 32], [2, 2, 2, 4, 2, 2], { ...below, longestGapSeconds: 10 })).toEqual([
      { start: 0, end: 2 },
      { start: 31, end: 32 },
    ]);
    expect(hysteresisSpans([0, 1, 2, 30, 31, 32], [2, 2, 2, 4, 2, 2], below)).toEqual([{ start: 0, end: 32 }]);
  });

  test('short ones are dropped', () => {
    expect(hysteresisSpans(times(9), [2, 9, 9, 2, 2, 2, 9, 2, 9], { ...below, shortestSeconds: 2 })).toEqual([{ start: 3, end: 6 }]);
  });

  test('says of every sample what its history says', () => {
    const sample = fc.oneof({ weight: 6, arbitrary: fc.integer({ min: 0, max: 8 }) }, { weight: 1, arbitrary: fc.constant(Number.NaN) });
    fc.assert(
      fc.property(fc.array(sample, { maxLength: 60 }), (values) => {
        const spans = hysteresisSpans(times(values.length), values, below);
        let inside = false;
        values.slice(0, -1).forEach((value, t) => {
          inside = inside ? value < 5 : value < 3;
          expect(spans.some(({ start, end }) => start <= t && t < end)).toBe(inside);
        });
      }),
    );
  });
});
