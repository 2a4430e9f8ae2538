import * as fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  algorithmA,
  hodgesLehmann,
  MAD_TO_SIGMA,
  median,
  medianAbsoluteDeviation,
  quantile,
} from '../../src/series/robust.ts';
import { createRandom } from '../../src/series/random.ts';
import strd from './data/strd.json' with { type: 'json' };

/** Copper in wholemeal flour, the analytical-methods data that scipy's tests use. */
const COPPER = [
  2.2, 2.2, 2.4, 2.4, 2.5, 2.7, 2.8, 2.9, 3.03, 3.03, 3.1, 3.37, 3.4, 3.4, 3.4, 3.5, 3.6, 3.7, 3.7, 3.7, 3.7, 3.77, 5.28, 28.95,
];

describe('median and MAD', () => {
  test('S-25 copper (read in scipy test_stats.py TestMedianAbsDeviation)', () => {
    expect(median(COPPER)).toBeCloseTo(3.385, 12);
    expect(medianAbsoluteDeviation(COPPER, 1)).toBeCloseTo(0.355, 12);
    expect(medianAbsoluteDeviation(COPPER, 1.4826)).toBeCloseTo(0.526323, 6);
    expect(medianAbsoluteDeviation(COPPER)).toBe(MAD_TO_SIGMA * medianAbsoluteDeviation(COPPER, 1));
    expect(medianAbsoluteDeviation(COPPER.slice(0, -1), 1)).toBeCloseTo(0.34, 12);
  });

  test('quantiles interpolate as numpy does by default (type 7, derived)', () => {
    expect(quantile([4, 1, 3, 2], 0.25)).toBe(1.75);
    expect([quantile([4, 1, 3, 2], 0), quantile([4, 1, 3, 2], 1)]).toEqual([1, 4]);
    expect(median(Float32Array.of(5, 1, 3))).toBe(3);
  });

  test('NaN or nothing gives NaN, and the values are left as they were', () => {
    const values = [3, Number.NaN, 1];
    expect([median(values), hodgesLehmann(values), algorithmA(values).location]).toEqual(Array(3).fill(Number.NaN));
    expect([median([]), hodgesLehmann([]), medianAbsoluteDeviation([])]).toEqual(Array(3).fill(Number.NaN));
    const ordered = [3, 2, 1];
    median(ordered);
    hodgesLehmann(ordered);
    expect(ordered).toEqual([3, 2, 1]);
  });
});

describe('hodgesLehmann', () => {
  test('S-26 copper, Michelso (recalculated) and the paired example (from memory, recalculated)', () => {
    expect(hodgesLehmann(COPPER)).toBeCloseTo(3.225, 12);
    expect(hodgesLehmann(strd.michelso)).toBeCloseTo(299.85, 12);
    const x = [1.83, 0.5, 1.62, 2.48, 1.68, 1.88, 1.55, 3.06, 1.3];
    const y = [0.878, 0.647, 0.598, 2.05, 1.06, 1.29, 1.06, 3.14, 1.29];
    expect(hodgesLehmann(x.map((value, i) => (y[i] as number) - value))).toBeCloseTo(-0.46, 12);
  });

  test('equals the median of all pair means, ties and all', () => {
    const naive = (values: readonly number[]): number => {
      const means = values.flatMap((a, i) => values.slice(i).map((b) => (a + b) / 2));
      return median(means);
    };
    fc.assert(
      fc.property(fc.array(fc.integer({ min: -40, max: 40 }), { minLength: 1, maxLength: 150 }), (values) => {
        expect(hodgesLehmann(values)).toBe(naive(values));
      }),
      { numRuns: 60 },
    );
  });

  test('20 000 values without the 200 million pair means', () => {
    const random = createRandom(11);
    const values = Float64Array.from({ length: 20_000 }, () => 5 + random.normal());
    expect(Math.abs(hodgesLehmann(values) - 5)).toBeLessThan(0.04);
  });
});

describe('algorithmA', () => {
  const DATA = [24.14, 20.155, 19.5, 20.3, 20.705, 17.57, 20.1, 20.94, 21.185];

  test.each([
    [1, 20.3872, 0.9856],
    [2, 20.4066, 1.0097],
    [3, 20.4109, 1.0267],
    [4, 20.4119, 1.0388],
  ])('S-27 iteration %d (ISO 5725-5 example read in cran/metRology algA.Rd, recalculated)', (iterations, location, scale) => {
    const result = algorithmA(DATA, { iterations });
    expect(result.location).toBeCloseTo(location, 4);
    expect(result.scale).toBeCloseTo(scale, 4);
    expect(result.iterations).toBe(iterations);
  });

  test('S-27 converged', () => {
    const result = algorithmA(DATA);
    expect(result.location).toBeCloseTo(20.412143, 6);
    expect(result.scale).toBeCloseTo(1.06984, 6);
  });

  test('all equal has no scale', () => {
    expect(algorithmA([2, 2, 2])).toEqual({ location: 2, scale: 0, iterations: 0 });
  });
});
