import { describe, expect, test } from 'vitest';
import { combined, combineProduct, coverageFactor, expanded, welchSatterthwaite } from '../../src/series/uncertainty.ts';

describe('GUM', () => {
  test('S-51 end gauge H.1 (from memory; combination recalculated): u 32 nm, ν 16 truncated, U99 93 nm', () => {
    const contributions = [
      { standardUncertainty: 25, degreesOfFreedom: 18 },
      { standardUncertainty: 9.7, degreesOfFreedom: 25.6 },
      { standardUncertainty: 2.9, degreesOfFreedom: 50 },
      { standardUncertainty: 16.6, degreesOfFreedom: 2 },
    ];
    expect(combined(contributions)).toBeCloseTo(31.7, 1);
    const degreesOfFreedom = welchSatterthwaite(contributions);
    expect(degreesOfFreedom).toBeGreaterThan(16);
    expect(degreesOfFreedom).toBeLessThan(17);
    expect(coverageFactor(degreesOfFreedom, 0.99)).toBeCloseTo(2.92, 2);
    expect(Math.round(expanded(32, degreesOfFreedom, 0.99))).toBe(93);
  });

  test('S-52 product (data read in cran/metRology GUM.Rd, derived)', () => {
    const product = combineProduct([
      { value: 2.3, standardUncertainty: 0.03, degreesOfFreedom: 5 },
      { value: 1.1, standardUncertainty: 0.015, degreesOfFreedom: 9999 },
    ]);
    expect(product.value).toBeCloseTo(2.53, 12);
    expect(product.standardUncertainty).toBeCloseTo(Math.hypot(1.1 * 0.03, 2.3 * 0.015), 15);
    expect(product.degreesOfFreedom).toBeCloseTo(21.9, 1);
  });

  test('mass over length and width (worked budget of the rate, derived): 111.11 ± 2.29 kg/ha', () => {
    const rate = combineProduct([
      { value: 500, standardUncertainty: 4.24 },
      { value: 2500, standardUncertainty: 12.5, power: -1 },
      { value: 18, standardUncertainty: 0.054, power: -1 },
    ]);
    expect(rate.value * 1e4).toBeCloseTo(111.11, 2);
    expect(rate.standardUncertainty / rate.value).toBeCloseTo(0.0103, 4);
    expect(2 * rate.standardUncertainty * 1e4).toBeCloseTo(2.29, 2);
    expect(rate.degreesOfFreedom).toBe(Infinity);
    expect(coverageFactor(rate.degreesOfFreedom)).toBeCloseTo(1.96, 3);
  });

  test('a factor that is 0 still carries its uncertainty', () => {
    const product = combineProduct([
      { value: 0, standardUncertainty: 2 },
      { value: 3, standardUncertainty: 0.1 },
    ]);
    expect([product.value, product.standardUncertainty]).toEqual([0, 6]);
  });
});
