import * as fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { biweightLocation, biweightOfUnits } from '../../src/series/biweight.ts';
import { createRandom } from '../../src/series/random.ts';
import { medianAbsoluteDeviation } from '../../src/series/robust.ts';

/** Copper in wholemeal flour, the analytical-methods data that scipy's tests use. */
const COPPER = [
  2.2, 2.2, 2.4, 2.4, 2.5, 2.7, 2.8, 2.9, 3.03, 3.03, 3.1, 3.37, 3.4, 3.4, 3.4, 3.5, 3.6, 3.7, 3.7, 3.7, 3.7, 3.77, 5.28, 28.95,
];

describe('biweightLocation', () => {
  test('a third of the values far to one side does not move it; least squares goes along', () => {
    const random = createRandom(1);
    const values = Array.from({ length: 300 }, (_, i) => (i % 3 === 0 ? -12 : 0) + random.normal());
    expect(Math.abs(biweightLocation(values))).toBeLessThan(0.25);
  });

  test('solves its own equation Σψ = 0', () => {
    const centre = biweightLocation(COPPER);
    const reach = 4.685 * medianAbsoluteDeviation(COPPER);
    const balance = COPPER.map((value) => (value - centre) / reach)
      .filter((u) => Math.abs(u) < 1)
      .reduce((sum, u) => sum + u * (1 - u * u) ** 2, 0);
    expect(Math.abs(balance)).toBeLessThan(1e-9);
    expect(centre).toBeGreaterThan(3);
    expect(centre).toBeLessThan(3.4);
  });

  test('more than half equal: the median, unless a quantisation floor lets the others speak', () => {
    const values = [1, 1, 1, 1, 1.01, 1.01, 1.02];
    expect(biweightLocation(values)).toBe(1);
    const floor = 0.01 / Math.sqrt(12);
    expect(biweightLocation(values, { floor })).toBeGreaterThan(1.001);
  });

  test('NaN or nothing gives NaN, and the values are left as they were', () => {
    expect(biweightLocation([3, Number.NaN, 1])).toBeNaN();
    expect(biweightLocation([])).toBeNaN();
    const values = [3, 1, 2];
    biweightLocation(values);
    expect(values).toEqual([3, 1, 2]);
  });
});

describe('biweightOfUnits', () => {
  const drawings = fc.array(fc.array(fc.integer({ min: -40, max: 40 }), { maxLength: 9 }), { minLength: 1, maxLength: 8 })
    .chain((units) => fc.tuple(fc.constant(units), fc.array(fc.nat(units.length - 1), { maxLength: 12 })));

  test('is the location of the values of all units drawn, some twice, some never, ties and empty units among them', () => {
    fc.assert(fc.property(drawings, ([units, indices]) => {
      const together = indices.flatMap((index) => units[index] ?? []);
      const location = biweightOfUnits(units)(indices);
      if (together.length === 0) expect(location).toBeNaN();
      else expect(location).toBeCloseTo(biweightLocation(together), 9);
    }));
  });
});
