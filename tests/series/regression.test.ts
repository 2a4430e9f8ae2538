import { describe, expect, test } from 'vitest';
import { deming, lineAt, lineFit, slopeThroughOrigin, theilSen, york } from '../../src/series/regression.ts';
import strd from './data/strd.json' with { type: 'json' };
import { correctDigits } from './precision.ts';

describe('lineFit', () => {
  test('S-01 Norris (NIST StRD Norris.dat, certified values read in a transcription)', () => {
    const fit = lineFit(strd.norris.x, strd.norris.y);
    expect(correctDigits(fit.intercept, -0.262323073774029)).toBeGreaterThan(9);
    expect(correctDigits(fit.interceptStandardError, 0.232818234301152)).toBeGreaterThan(9);
    expect(correctDigits(fit.slope, 1.00211681802045)).toBeGreaterThan(9);
    expect(correctDigits(fit.slopeStandardError, 0.429796848199937e-3)).toBeGreaterThan(9);
    expect(correctDigits(fit.residualSd, 0.884796396144373)).toBeGreaterThan(9);
    expect(correctDigits(fit.rSquared, 0.999993745883712)).toBeGreaterThan(9);
    expect(fit.degreesOfFreedom).toBe(34);
  });

  test('S-29 Anscombe I (from memory, recalculated)', () => {
    const x = [10, 8, 13, 9, 11, 14, 6, 4, 12, 7, 5];
    const y = [8.04, 6.95, 7.58, 8.81, 8.33, 9.96, 7.24, 4.26, 10.84, 4.82, 5.68];
    const fit = lineFit(x, y);
    expect(fit.slope).toBeCloseTo(0.5001, 4);
    expect(fit.intercept).toBeCloseTo(3.0001, 4);
    expect(Math.sqrt(fit.rSquared)).toBeCloseTo(0.81642, 5);
  });

  test('S-50 GUM H.3 thermometer line: the covariance counts (data read in a transcription, answers from memory, recalculated)', () => {
    const t = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.01, 26.511];
    const b = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.16];
    const fit = lineFit(
      t.map((value) => value - 20),
      b,
    );
    expect(fit.intercept).toBeCloseTo(-0.1712, 4);
    expect(fit.interceptStandardError).toBeCloseTo(0.0029, 4);
    expect(fit.slope).toBeCloseTo(0.00218, 5);
    expect(fit.slopeStandardError).toBeCloseTo(0.00067, 5);
    expect(fit.covariance / (fit.interceptStandardError * fit.slopeStandardError)).toBeCloseTo(-0.93, 3);
    expect(fit.residualSd).toBeCloseTo(0.0035, 4);
    const at30 = lineAt(fit, 10);
    expect(at30.value).toBeCloseTo(-0.149377, 6);
    expect(at30.standardError).toBeCloseTo(0.0041386, 7);
    const withoutCovariance = Math.hypot(fit.interceptStandardError, 10 * fit.slopeStandardError);
    expect(withoutCovariance / at30.standardError).toBeGreaterThan(1.7);
  });

  test('no spread in x gives NaN, two points give a line without errors', () => {
    expect(lineFit([1, 1, 1], [1, 2, 3]).slope).toBeNaN();
    const two = lineFit([0, 1], [1, 3]);
    expect([two.intercept, two.slope]).toEqual([1, 2]);
    expect(two.slopeStandardError).toBeNaN();
  });
});

describe('slopeThroughOrigin', () => {
  test('S-03 NoInt1 (NIST StRD, read in a transcription)', () => {
    const x = Array.from({ length: 11 }, (_, i) => 60 + i);
    const fit = slopeThroughOrigin(
      x,
      x.map((value) => value + 70),
    );
    expect(correctDigits(fit.slope, 2.07438016528926)).toBeGreaterThan(12);
    expect(correctDigits(fit.slopeStandardError, 0.165289256198347e-1)).toBeGreaterThan(12);
    expect(correctDigits(fit.residualSd, 3.56753034006338)).toBeGreaterThan(12);
    expect(correctDigits(fit.rSquared, 0.999365492298663)).toBeGreaterThan(12);
  });

  test('S-04 NoInt2 (NIST StRD, read in a transcription)', () => {
    const fit = slopeThroughOrigin([4, 5, 6], [3, 4, 4]);
    expect(correctDigits(fit.slope, 0.727272727272727)).toBeGreaterThan(12);
    expect(correctDigits(fit.slopeStandardError, 0.420827318078432e-1)).toBeGreaterThan(12);
    expect(correctDigits(fit.residualSd, 0.369274472937998)).toBeGreaterThan(12);
    expect(correctDigits(fit.rSquared, 0.993348115299335)).toBeGreaterThan(12);
  });
});

describe('theilSen', () => {
  test('S-28 the example of the 1968 paper (read in scipy and cran/deming tests, recalculated): both intercepts, 93 % interval', () => {
    const fit = theilSen([1, 2, 3, 4, 10, 12, 18], [9, 15, 19, 20, 45, 55, 78], 0.93);
    expect(fit.slope).toBe(4);
    expect(fit.interceptOfMedians).toBe(4);
    expect(fit.interceptOfResiduals).toBe(6);
    expect(fit.low).toBeCloseTo(26 / 7, 12);
    expect(fit.high).toBeCloseTo(35 / 8, 12);
  });

  test('S-29 Anscombe III: one point pulls least squares, not Theil-Sen (data from memory, answers recalculated)', () => {
    const x = [10, 8, 13, 9, 11, 14, 6, 4, 12, 7, 5];
    const y = [7.46, 6.77, 12.74, 7.11, 7.81, 8.84, 6.08, 5.39, 8.15, 6.42, 5.73];
    expect(lineFit(x, y).slope).toBeCloseTo(0.4997, 4);
    expect(lineFit(x, y).intercept).toBeCloseTo(3.0025, 4);
    const fit = theilSen(x, y);
    expect(fit.slope).toBeCloseTo(0.34556, 5);
    expect(fit.interceptOfResiduals).toBeCloseTo(4.0, 2);
  });

  test('equal x are left out; nothing to go on gives NaN', () => {
    expect(theilSen([1, 1, 2], [0, 5, 3]).slope).toBe((3 + -2) / 2);
    expect(theilSen([1, 1], [0, 5]).slope).toBeNaN();
  });
});

describe('york', () => {
  const x = [0, 0.9, 1.8, 2.6, 3.3, 4.4, 5.2, 6.1, 6.5, 7.4];
  const y = [5.9, 5.4, 4.4, 4.6, 3.5, 3.7, 2.8, 2.8, 2.4, 1.5];

  test('S-30 Pearson data with York weights (York 1966/1969/2004, read in four public suites, recalculated)', () => {
    const ux = [1000, 1000, 500, 800, 200, 80, 60, 20, 1.8, 1].map((weight) => 1 / Math.sqrt(weight));
    const uy = [1, 1.8, 4, 8, 20, 20, 70, 70, 100, 500].map((weight) => 1 / Math.sqrt(weight));
    const fit = york(x, y, ux, uy);
    expect(Math.abs(fit.intercept - 5.47991022403)).toBeLessThan(1e-9);
    expect(Math.abs(fit.slope + 0.48053340745)).toBeLessThan(1e-9);
    expect(Math.abs(fit.interceptStandardError - 0.294970735)).toBeLessThan(1e-8);
    expect(Math.abs(fit.slopeStandardError - 0.057985009)).toBeLessThan(1e-8);
    expect(fit.mswd).toBeCloseTo(1.483294149, 8);
    expect(fit.interceptStandardErrorScaled).toBeCloseTo(0.359246523, 8);
    expect(fit.slopeStandardErrorScaled).toBeCloseTo(0.07062027, 8);
  });

  test('equal weights are orthogonal regression (Pearson 1901; recalculated)', () => {
    const ones = x.map(() => 1);
    const fit = york(x, y, ones, ones);
    expect(fit.slope).toBeCloseTo(-0.5455612, 7);
    expect(fit.intercept).toBeCloseTo(5.78404377, 7);
  });
});

describe('deming', () => {
  const x = [7, 8.3, 10.5, 9, 5.1, 8.2, 10.2, 10.3, 7.1, 5.9];
  const y = [7.9, 8.2, 9.6, 9, 6.5, 7.3, 10.2, 10.6, 6.3, 5.2];

  test('S-31 (data read in NIST Dataplot help DEMING FIT; answer from memory, recalculated): the ratio the right way up', () => {
    const fit = deming(x, y, 0.25);
    expect(fit.slope).toBeCloseTo(1.0011942, 7);
    expect(fit.intercept).toBeCloseTo(-0.0897449, 7);
    expect(fit.slopeStandardError).toBeCloseTo(0.18717705, 8);
    expect(fit.interceptStandardError).toBeCloseTo(1.72198741, 8);
    expect(deming(x, y, 1).slope).toBeCloseTo(0.9422886, 7);
    expect(deming(x, y, 4).slope).toBeCloseTo(0.8905995, 7);
    expect(deming(x, y, 4).intercept).toBeCloseTo(0.812708, 6);
  });

  test('agrees with york for one uncertainty per axis, and with least squares when x is exact', () => {
    const fit = deming(x, y, 0.25);
    const same = york(
      x,
      y,
      x.map(() => 2),
      x.map(() => 1),
    );
    expect(same.slope).toBeCloseTo(fit.slope, 10);
    expect(deming(x, y, 1e9).slope).toBeCloseTo(lineFit(x, y).slope, 6);
  });
});
