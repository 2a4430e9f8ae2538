import { describe, expect, test } from 'vitest';
import { effectiveSampleSize, exactEffectiveSampleSize, lagOneAutocorrelation } from '../../src/series/autocorrelation.ts';
import { movingBlockStandardError } from '../../src/series/bootstrap.ts';
import { momentsOf } from '../../src/series/moments.ts';
import { createRandom } from '../../src/series/random.ts';
import series from './data/series.json' with { type: 'json' };
import strd from './data/strd.json' with { type: 'json' };
import { correctDigits } from './precision.ts';

const alternating = (first: number, low: number, high: number): number[] => [
  first,
  ...Array.from({ length: 1000 }, (_, i) => (i % 2 === 0 ? low : high)),
];

describe('NIST StRD univariate sets (read in transcriptions of the .dat files): mean, SD, lag-one autocorrelation', () => {
  test.each([
    ['S-05 NumAcc1', [10000001, 10000003, 10000002], 10000002, 1, -0.5, 12],
    ['S-09 Michelso', strd.michelso, 299.8524, 0.0790105478190518, 0.535199668621283, 12],
    ['S-10 Mavro', strd.mavro, 2.001856, 0.000429123454003053, 0.937989183438248, 12],
    ['S-11 Lew', strd.lew, -177.435, 277.332168044316, -0.307304800605679, 12],
    ['S-12 Lottery', strd.lottery, 518.95871559633, 291.699727470969, -0.120948622967393, 12],
    ['S-06 NumAcc2', alternating(1.2, 1.1, 1.3), 1.2, 0.1, -0.999, 12],
    ['S-07 NumAcc3, whose input is not representable', alternating(1000000.2, 1000000.1, 1000000.3), 1000000.2, 0.1, -0.999, 8],
    ['S-08 NumAcc4, likewise', alternating(10000000.2, 10000000.1, 10000000.3), 10000000.2, 0.1, -0.999, 8],
  ])('%s', (_, values, mean, sd, r, digits) => {
    const moments = momentsOf(values);
    expect(correctDigits(moments.mean, mean)).toBeGreaterThan(Math.max(12, digits));
    expect(correctDigits(moments.sd, sd)).toBeGreaterThan(digits);
    expect(correctDigits(lagOneAutocorrelation(values), r)).toBeGreaterThan(digits);
  });
});

describe('lagOneAutocorrelation', () => {
  test('S-48 Nile: most of it is the level shift (recalculated from the published series)', () => {
    expect(lagOneAutocorrelation(series.nile)).toBeCloseTo(0.49841, 5);
    const residuals = series.nile.map((flow, i) => flow - (i < 28 ? 1097.75 : 849.9722222222222));
    expect(lagOneAutocorrelation(residuals)).toBeCloseTo(0.15986, 5);
    // The published figure keeps the one product across the break, which `breaks` leaves out.
    expect(Math.abs(lagOneAutocorrelation(series.nile, [28]) - 0.15986)).toBeLessThan(2e-4);
  });

  test('NaN values leave their products out; a constant series has none', () => {
    const gap = lagOneAutocorrelation([1, 2, Number.NaN, 1, 2]);
    expect(gap).toBeCloseTo(-0.5, 12);
    expect(lagOneAutocorrelation([3, 3, 3])).toBeNaN();
    expect(lagOneAutocorrelation([])).toBeNaN();
  });
});

describe('effectiveSampleSize', () => {
  test.each([
    ['Michelso', 100, 0.535199668621283, 30.27621, 30.7373],
    ['Mavro', 50, 0.937989183438248, 1.59988, 2.28387],
    ['Lew', 200, -0.307304800605679, 377.45, 376.178],
    ['S-47', 600, 0.5, 200, 200.445],
    ['S-47', 600, 0.8, 66.67, 67.164],
    ['S-47', 600, 0.9, 31.58, 32.086],
    ['S-47', 600, 0.95, 15.385, 15.901],
    ['S-47', 600, 0.98, 6.06, 6.605],
  ])('S-46 / S-47 %s n %d (derived from certified r)', (_, n, r, plain, exact) => {
    expect(Math.abs(effectiveSampleSize(n, r) / plain - 1)).toBeLessThan(2e-4);
    expect(Math.abs(exactEffectiveSampleSize(n, r) / exact - 1)).toBeLessThan(1e-4);
  });

  test('never less than one', () => {
    expect(effectiveSampleSize(10, 0.999)).toBe(1);
  });
});

describe('movingBlockStandardError', () => {
  test.each([
    ['Michelso', strd.michelso, [[1, 0.00786145], [5, 0.01142423], [10, 0.0127282], [20, 0.01438259]]],
    ['Nile', series.nile, [[1, 16.83792], [5, 27.06368], [10, 32.84181], [20, 39.63918]]],
  ] as const)('S-49 %s (recalculated with numpy from the published series)', (_, values, expected) => {
    for (const [block, error] of expected) expect(Math.abs(movingBlockStandardError(values, block) / error - 1)).toBeLessThan(1e-5);
  });

  test('is the limit of a bootstrap that really draws blocks (10 000 of them, within 2 %)', () => {
    const random = createRandom(3);
    const block = 10;
    const means = Array.from({ length: 10_000 }, () => {
      let sum = 0;
      for (let k = 0; k < strd.michelso.length / block; k++) {
        const first = random.integer(strd.michelso.length - block + 1);
        for (let i = 0; i < block; i++) sum += (strd.michelso[first + i] as number) - 299;
      }
      return sum / strd.michelso.length;
    });
    expect(Math.abs(momentsOf(means).sd / movingBlockStandardError(strd.michelso, block) - 1)).toBeLessThan(0.02);
  });

  test('NaN when fewer than two blocks fit', () => {
    expect(movingBlockStandardError([1, 2, 3], 3)).toBeNaN();
  });
});
