import { describe, expect, test } from 'vitest';
import { benjaminiHochberg } from '../../src/series/many-tests.ts';
import { holm } from '../../src/series/holm.ts';

describe('Holm 1979', () => {
  test('stepping down by hand: 0.01·4, 0.02·3, 0.03·2, 0.04·1, never falling', () => {
    expect(Array.from(holm([0.04, 0.01, 0.03, 0.02]), (p) => Number(p.toFixed(12)))).toEqual([0.06, 0.04, 0.06, 0.06]);
  });

  test('the 1995 worked example of 15 tests: as many rejected as Bonferroni, 3, fewer than by false discovery rate, 4 (checks.md S-40)', () => {
    const p = [0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459, 0.324, 0.4262, 0.5719, 0.6528, 0.759, 1];
    expect(holm(p).filter((adjusted) => adjusted < 0.05)).toHaveLength(3);
    expect(benjaminiHochberg(p, 0.05).rejected.filter(Boolean)).toHaveLength(4);
  });

  test('what was not tested does not count', () => {
    expect(Array.from(holm([0.01, NaN, 0.02]))).toEqual([0.02, NaN, 0.02]);
    expect(holm([])).toHaveLength(0);
    expect(Array.from(holm([0.9, 0.8]))).toEqual([1, 1]);
  });
});
