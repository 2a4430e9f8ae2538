import { describe, expect, test } from 'vitest';
import { fTest, momentsOf, pooledT, welchT } from '../../src/series/two-sample.ts';

describe('two samples, from their moments', () => {
  test('S-22 F test of the two ceramic batches (e-Handbook 1.3.5.9, output read on a mirror, recalculated)', () => {
    const result = fTest({ count: 240, mean: 688.9987, sd: 65.54909 }, { count: 240, mean: 611.1559, sd: 61.85425 });
    expect(result.ratio).toBeCloseTo(1.123037, 6);
    expect(result.degreesOfFreedom).toEqual([239, 239]);
    expect(result.cdf).toBeCloseTo(0.814808, 6);
    expect(result.p).toBeCloseTo(2 * (1 - 0.814808), 5);
  });

  test('S-23 two-sample t (e-Handbook 1.3.5.3, answer from memory, recalculated)', () => {
    const a = { count: 249, mean: 20.14458, sd: 6.4147 };
    const b = { count: 79, mean: 30.48101, sd: 6.10771 };
    expect(pooledT(a, b).statistic).toBeCloseTo(-12.62059, 4);
    expect(pooledT(a, b).degreesOfFreedom).toBe(326);
    expect(welchT(a, b).statistic).toBeCloseTo(-12.94627, 4);
    expect(welchT(a, b).degreesOfFreedom).toBeCloseTo(136.875, 2);
    expect(welchT(a, b).p).toBeLessThan(1e-20);
  });

  test('the interval is the difference with its t reach, and covers no difference when there is none', () => {
    const a = momentsOf([1, 2, 3, 4]);
    const b = momentsOf([2, 3, 3, 2]);
    const difference = welchT(a, b);
    expect(difference.value).toBe(0);
    expect(difference.p).toBe(1);
    expect(difference.low).toBeLessThan(0);
    expect(difference.high).toBeCloseTo(-difference.low, 12);
  });
});
