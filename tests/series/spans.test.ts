import * as fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Span } from '../../shared/span.ts';
import {
  contains,
  intersectSpans,
  joinSpans,
  maskOf,
  shrinkSpans,
  spansWhere,
  subtractSpans,
  totalSeconds,
  unionSpans,
} from '../../src/series/spans.ts';

const span = (start: number, end: number): Span => ({ start, end });

/** Any list of spans in quarter seconds, in any order, overlapping or empty as it comes. */
const anySpans = fc.array(
  fc.tuple(fc.integer({ min: 0, max: 200 }), fc.integer({ min: 0, max: 30 })).map(([start, length]) => span(start / 4, (start + length) / 4)),
  { maxLength: 12 },
);

function isOrdered(spans: readonly Span[]): boolean {
  return spans.every((here, i) => here.end > here.start && (i === 0 || here.start > (spans[i - 1] as Span).end));
}

describe('algebra of spans', () => {
  test('the lengths add up: |a| + |b| = |a or b| + |a and b|, |a| = |a and b| + |a not b|', () => {
    fc.assert(
      fc.property(anySpans, anySpans, (a, b) => {
        const both = totalSeconds(intersectSpans(a, b));
        expect(totalSeconds(unionSpans(a, b)) + both).toBeCloseTo(totalSeconds(a) + totalSeconds(b), 9);
        expect(totalSeconds(subtractSpans(a, b)) + both).toBeCloseTo(totalSeconds(a), 9);
      }),
    );
  });

  test('every answer is sorted and apart, and says of each moment what it should', () => {
    fc.assert(
      fc.property(anySpans, anySpans, fc.integer({ min: -4, max: 240 }), (a, b, quarter) => {
        const t = quarter / 4 + 0.1;
        const within = (spans: readonly Span[]): boolean => spans.some(({ start, end }) => start <= t && t < end);
        for (const [answer, truth] of [
          [unionSpans(a, b), within(a) || within(b)],
          [intersectSpans(a, b), within(a) && within(b)],
          [subtractSpans(a, b), within(a) && !within(b)],
        ] as const) {
          expect(isOrdered(answer)).toBe(true);
          expect(contains(answer, t)).toBe(truth);
        }
      }),
    );
  });

  test('the arguments are left as they were', () => {
    const a = [span(5, 6), span(0, 2)];
    unionSpans(a, [span(1, 3)]);
    subtractSpans(a, [span(1, 3)]);
    expect(a).toEqual([span(5, 6), span(0, 2)]);
  });

  test('a span is half-open', () => {
    expect([contains([span(1, 2)], 1), contains([span(1, 2)], 2), contains([], 0)]).toEqual([true, false, false]);
    expect(intersectSpans([span(0, 1)], [span(1, 2)])).toEqual([]);
    expect(unionSpans([span(0, 1)], [span(1, 2)])).toEqual([span(0, 2)]);
  });
});

test('joinSpans closes what is closer, not what is just as far', () => {
  expect(joinSpans([span(0, 1), span(3, 4), span(9, 10)], 2)).toEqual([span(0, 1), span(3, 4), span(9, 10)]);
  expect(joinSpans([span(0, 1), span(3, 4), span(9, 10)], 2.1)).toEqual([span(0, 4), span(9, 10)]);
});

test('shrinkSpans takes head and tail off, negative ones widen and merge', () => {
  expect(shrinkSpans([span(0, 10), span(20, 22)], 2, 1)).toEqual([span(2, 9)]);
  expect(shrinkSpans([span(5, 10), span(12, 20)], -1, -1)).toEqual([span(4, 21)]);
});

describe('masks', () => {
  test('spansWhere reads flags of any kind, on their own clock', () => {
    expect(spansWhere([false, true, true, false, true])).toEqual([span(1, 3), span(4, 5)]);
    expect(spansWhere(Uint8Array.of(1, 0, 2), 100, 0.5)).toEqual([span(100, 100.5), span(101, 101.5)]);
    expect(spansWhere([])).toEqual([]);
  });

  test('maskOf marks the seconds whose middle is covered, and nothing outside', () => {
    expect([...maskOf([span(-5, 0.6), span(1.4, 2.6), span(3.6, 99)], 6)]).toEqual([1, 1, 1, 0, 1, 1]);
  });

  test('there and back', () => {
    fc.assert(
      fc.property(fc.array(fc.boolean(), { maxLength: 60 }), (flags) => {
        expect([...maskOf(spansWhere(flags), flags.length)]).toEqual(flags.map(Number));
      }),
    );
  });
});
