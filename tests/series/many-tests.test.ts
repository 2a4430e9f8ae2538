import * as fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { benjaminiHochberg } from '../../src/series/many-tests.ts';

describe('benjaminiHochberg', () => {
  const P = [0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459, 0.324, 0.4262, 0.5719, 0.6528, 0.759, 1];

  test('S-40 the worked example of 1995 (read in the scipy docstring, recalculated): four of fifteen', () => {
    const { adjusted, rejected } = benjaminiHochberg(P, 0.05);
    const table = [
      0.0015, 0.003, 0.0095, 0.035625, 0.0603, 0.063857, 0.063857, 0.0645, 0.0765, 0.486, 0.581182, 0.714875, 0.753231, 0.813214, 1,
    ];
    table.forEach((value, i) => expect(Math.abs((adjusted[i] as number) - value)).toBeLessThan(5e-7));
    expect(rejected.filter(Boolean)).toHaveLength(4);
    expect(P.filter((p) => p <= 0.05)).toHaveLength(9);
    expect(P.filter((p) => p <= 0.05 / P.length)).toHaveLength(3);
  });

  test('S-41 second example (read in the scipy tests)', () => {
    const { adjusted } = benjaminiHochberg([0.005, 0.009, 0.019, 0.022, 0.051, 0.101, 0.361, 0.387], 0.05);
    [0.036, 0.036, 0.044, 0.044, 0.082, 0.135, 0.387, 0.387].forEach((value, i) => {
      expect(Math.abs((adjusted[i] as number) - value)).toBeLessThan(1e-3);
    });
  });

  test('S-42 stepping up: 0.04 alone would fail the first step, both are rejected (read in a transcription)', () => {
    expect(benjaminiHochberg([0.04, 0.03], 0.05).rejected).toEqual([true, true]);
  });

  test('NaN is not counted, nothing is nothing', () => {
    const { adjusted, rejected } = benjaminiHochberg([0.04, Number.NaN, 0.03], 0.05);
    expect([...adjusted]).toEqual([0.04, Number.NaN, 0.04]);
    expect(rejected).toEqual([true, false, true]);
    expect(benjaminiHochberg([], 0.05).rejected).toEqual([]);
  });

  test('rejects just what the definition does: the k smallest, k the largest with p(k) <= k·q/n', () => {
    fc.assert(
      fc.property(fc.array(fc.double({ min: 0, max: 1, noNaN: true }), { maxLength: 30 }), fc.constantFrom(0.05, 0.1, 0.3), (p, q) => {
        const sorted = p.toSorted((a, b) => a - b);
        const k = sorted.findLastIndex((value, i) => (value * p.length) / (i + 1) <= q) + 1;
        expect(benjaminiHochberg(p, q).rejected.filter(Boolean).length).toBeGreaterThanOrEqual(k);
        expect(benjaminiHochberg(p, q).rejected).toEqual(p.map((value) => k > 0 && value <= (sorted[k - 1] as number)));
      }),
    );
  });
});
