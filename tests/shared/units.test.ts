import { describe, expect, test } from 'vitest';
import { SQUARE_METRES_PER_ACRE, fromSi, toSi } from '../../shared/units.ts';

describe('units', () => {
  /* International yard and pound agreement of 1959: exact definitions; NIST SP 811 appendix B prints the rounded forms (from memory). */
  test.each([
    [1, 'lb', 0.45359237], [1, 'ft', 0.3048], [1, 'mi', 1609.344], [1, 'mph', 0.44704], [1, 'ac', 4046.8564224], [3.6, 'km/h', 1],
    [1, 'kn', 1852 / 3600], [1, 'kg/ha', 1e-4], [0, '°C', 273.15], [32, '°F', 273.15], [212, '°F', 373.15], [100, '%', 1],
  ])('%d %s is %d in SI', (value, unit, si) => {
    expect(toSi(value, unit)).toBeCloseTo(si, 12);
    expect(fromSi(si, unit)).toBeCloseTo(value, 9);
  });

  /* 43,560 ft² per acre */
  test('an acre is 43,560 square feet', () => {
    expect(SQUARE_METRES_PER_ACRE).toBeCloseTo(43_560 * 0.3048 ** 2, 9);
  });

  /* checks U-06, derived from the exact definitions */
  test('1 lb/ac is 1.120851156194456 kg/ha', () => {
    expect((toSi(1, 'lb/ac') ?? NaN) / (toSi(1, 'kg/ha') ?? NaN)).toBeCloseTo(1.120851156194456, 12);
  });

  test('an unknown unit is not guessed', () => {
    expect(toSi(1, 'furlong')).toBeUndefined();
    expect(fromSi(1, 'constructor')).toBeUndefined();
  });
});
