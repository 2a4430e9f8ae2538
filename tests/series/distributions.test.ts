import { describe, expect, test } from 'vitest';
import {
  chiSquareCdf,
  chiSquareQuantile,
  chiSquareTail,
  fCdf,
  fQuantile,
  fTail,
  logNegativeBinomialLowerTail,
  logNegativeBinomialUpperTail,
  logPoissonLowerTail,
  logPoissonUpperTail,
  negativeBinomialLowerTail,
  normalCdf,
  normalQuantile,
  normalTail,
  poissonLowerTail,
  poissonUpperTail,
  studentTCdf,
  studentTQuantile,
  studentTTail,
} from '../../src/series/distributions.ts';
import { correctDigits } from './precision.ts';

describe('chi-square', () => {
  const upper = [0.05, 0.025, 0.01, 0.005, 0.001];
  test.each([
    [1, [3.841, 5.024, 6.635, 7.879, 10.828]],
    [2, [5.991, 7.378, 9.21, 10.597, 13.816]],
    [5, [11.07, 12.833, 15.086, 16.75, 20.515]],
    [10, [18.307, 20.483, 23.209, 25.188, 29.588]],
    [20, [31.41, 34.17, 37.566, 39.997, 45.315]],
    [30, [43.773, 46.979, 50.892, 53.672, 59.703]],
    [60, [79.082, 83.298, 88.379, 91.952, 99.607]],
    [100, [124.342, 129.561, 135.807, 140.169, 149.449]],
  ])('S-36 upper percentiles, %d degrees of freedom (e-Handbook 1.3.6.7.4 from memory, recalculated)', (df, table) => {
    upper.forEach((p, i) => {
      expect(Math.abs(chiSquareQuantile(1 - p, df) - (table[i] as number))).toBeLessThan(0.0005 + 1e-9);
      expect(correctDigits(chiSquareTail(chiSquareQuantile(1 - p, df), df), p)).toBeGreaterThan(10);
    });
  });

  test.each([
    [10, [3.94, 3.247, 2.558]],
    [30, [18.493, 16.791, 14.953]],
    [100, [77.929, 74.222, 70.065]],
  ])('S-36 lower percentiles, %d degrees of freedom', (df, table) => {
    [0.05, 0.025, 0.01].forEach((p, i) => {
      expect(Math.abs(chiSquareQuantile(p, df) - (table[i] as number))).toBeLessThan(0.0005 + 1e-9);
    });
  });

  test('far out and with many degrees of freedom (scipy 1.17.1)', () => {
    expect(correctDigits(chiSquareCdf(1e-3, 1), 0.02522712063003961)).toBeGreaterThan(13);
    expect(correctDigits(chiSquareCdf(2488.918, 2607), 0.04932863960221199)).toBeGreaterThan(11);
    expect(correctDigits(chiSquareCdf(0.5, 100), 2.0299524618646476e-95)).toBeGreaterThan(11);
    expect(correctDigits(chiSquareTail(300, 5), 1.0015302305957817e-62)).toBeGreaterThan(12);
    expect(correctDigits(chiSquareTail(5000, 2607), 1.3001345516443072e-153)).toBeGreaterThan(10);
  });
});

describe('normal', () => {
  test('tails and quantiles (scipy 1.17.1)', () => {
    expect(correctDigits(normalTail(1), 0.15865525393145707)).toBeGreaterThan(14);
    expect(correctDigits(normalTail(5), 2.866515718791933e-7)).toBeGreaterThan(13);
    expect(correctDigits(normalTail(37), 5.7255712225239266e-300)).toBeGreaterThan(11);
    expect(normalTail(-1)).toBeCloseTo(1 - 0.15865525393145707, 15);
    expect(normalCdf(0)).toBe(0.5);
    expect(correctDigits(normalQuantile(1e-300), -37.0470962993612)).toBeGreaterThan(13);
    expect(correctDigits(normalQuantile(1e-10), -6.361340902404056)).toBeGreaterThan(13);
    expect(correctDigits(normalQuantile(0.3), -0.5244005127080409)).toBeGreaterThan(13);
    expect(correctDigits(normalQuantile(0.975), 1.959963984540054)).toBeGreaterThan(13);
    expect(normalQuantile(0.5)).toBe(0);
    expect([normalQuantile(0), normalQuantile(1), normalQuantile(2)]).toEqual([-Infinity, Infinity, Number.NaN]);
  });

  test('S-24 the MAD constant is 1/Φ⁻¹(0.75) (derived)', () => {
    expect(correctDigits(1 / normalQuantile(0.75), 1.482602218505602)).toBeGreaterThan(14);
  });

  test('S-43 alarm arithmetic: 60 runs of 480 one-minute tests (derived)', () => {
    const tests = 60 * 480;
    expect(tests * 2 * normalTail(3)).toBeCloseTo(77.8, 1);
    expect(-normalQuantile(0.05 / tests)).toBeCloseTo(4.64, 2);
    expect(-normalQuantile(0.05 / tests / 2)).toBeCloseTo(4.78, 2);
    expect(-normalQuantile(0.05 / 60)).toBeCloseTo(3.14, 2);
    expect(-normalQuantile(0.05 / 60 / 2)).toBeCloseTo(3.34, 2);
  });
});

test('Student t (scipy 1.17.1)', () => {
  expect(correctDigits(studentTTail(2, 1), 0.14758361765043326)).toBeGreaterThan(13);
  expect(correctDigits(studentTTail(12.9, 136.875), 1.0298273726505042e-25)).toBeGreaterThan(11);
  expect(correctDigits(studentTTail(0.1, 2.5), 0.4639032720312449)).toBeGreaterThan(13);
  expect(correctDigits(studentTTail(3, 1e5), 0.0013502304420323617)).toBeGreaterThan(11);
  expect(correctDigits(studentTQuantile(0.975, 1), 12.706204736174694)).toBeGreaterThan(12);
  expect(correctDigits(studentTQuantile(0.975, 5), 2.5705818356363146)).toBeGreaterThan(13);
  expect(correctDigits(studentTQuantile(0.995, 16), 2.9207816224251)).toBeGreaterThan(12);
  expect(correctDigits(studentTQuantile(0.9999999, 3.3), 148.2902472964603)).toBeGreaterThan(8);
  expect(correctDigits(studentTQuantile(0.6, 40), 0.25503868634581395)).toBeGreaterThan(12);
  expect(studentTQuantile(0.025, 5)).toBe(-studentTQuantile(0.975, 5));
  expect(studentTQuantile(0.975, Infinity)).toBe(normalQuantile(0.975));
  expect(studentTCdf(-2, 1) + studentTCdf(2, 1)).toBeCloseTo(1, 14);
});

test('F (scipy 1.17.1; the first three are those of S-22)', () => {
  expect(correctDigits(fCdf(1.123037, 239, 239), 0.8148075746033208)).toBeGreaterThan(11);
  expect(correctDigits(fQuantile(0.025, 239, 239), 0.775563903405375)).toBeGreaterThan(11);
  expect(correctDigits(fQuantile(0.975, 239, 239), 1.289384402251269)).toBeGreaterThan(11);
  expect(correctDigits(fTail(30, 2, 7), 0.0003686220674722635)).toBeGreaterThan(12);
});

describe('Poisson and negative binomial tails, in logarithms (mpmath with 40 digits)', () => {
  test('Poisson', () => {
    expect(logPoissonLowerTail(0, 700)).toBeCloseTo(-700, 10);
    expect(correctDigits(logPoissonLowerTail(12_000, 12_800), -28.39833702850276)).toBeGreaterThan(12);
    expect(correctDigits(logPoissonUpperTail(13_500, 12_800), -21.54032121955113)).toBeGreaterThan(12);
    expect(correctDigits(logPoissonUpperTail(5, 0.01), -27.821675013441)).toBeGreaterThan(12);
    expect(correctDigits(logPoissonLowerTail(3, 10), -4.572117429097319)).toBeGreaterThan(13);
    expect(logPoissonLowerTail(0, 1e6)).toBe(-1e6);
    expect(poissonLowerTail(3, 2) + poissonUpperTail(4, 2)).toBeCloseTo(1, 14);
    expect([poissonUpperTail(0, 2), poissonLowerTail(-1, 2)]).toEqual([1, 0]);
  });

  test('negative binomial with mean and size', () => {
    expect(correctDigits(logNegativeBinomialLowerTail(0, 700, 5), -24.74379945189084)).toBeGreaterThan(12);
    expect(correctDigits(logNegativeBinomialLowerTail(50, 100, 20), -4.720874848420853)).toBeGreaterThan(11);
    expect(correctDigits(logNegativeBinomialUpperTail(200, 100, 20), -7.657583109898858)).toBeGreaterThan(11);
    expect(correctDigits(logNegativeBinomialUpperTail(10, 2, 1.5), -4.655375916489403)).toBeGreaterThan(11);
    expect(negativeBinomialLowerTail(50, 60, Infinity)).toBe(poissonLowerTail(50, 60));
    expect(negativeBinomialLowerTail(50, 60, 1e9)).toBeCloseTo(poissonLowerTail(50, 60), 7);
  });
});

test('NaN in, NaN out', () => {
  expect([normalTail(Number.NaN), chiSquareCdf(Number.NaN, 3), studentTTail(Number.NaN, 3), poissonLowerTail(3, Number.NaN)]).toEqual(
    Array(4).fill(Number.NaN),
  );
});
