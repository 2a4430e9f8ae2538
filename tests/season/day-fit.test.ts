import { describe, expect, test } from 'vitest';
import { coefficientOf, fitDays, fittedAt } from '../../src/season/day-fit.ts';
import { individualsLimits } from '../../src/season/individuals-limits.ts';
import { lineFit } from '../../src/series/regression.ts';
import { studentTQuantile } from '../../src/series/distributions.ts';
import { correctDigits } from '../series/precision.ts';
import strd from '../series/data/strd.json' with { type: 'json' };

/* Thirteen vaccine trials (Colditz et al. 1994; the tables as handed round with meta-analysis packages, from memory): cases and others, vaccinated and not. */
const TRIALS = [
  [4, 119, 11, 128], [6, 300, 29, 274], [3, 228, 11, 209], [62, 13536, 248, 12619], [33, 5036, 47, 5761], [180, 1361, 372, 1079], [8, 2537, 10, 619],
  [505, 87886, 499, 87892], [29, 7470, 45, 7232], [17, 1699, 65, 1600], [186, 50448, 141, 27197], [5, 2493, 3, 2338], [27, 16886, 29, 17825],
] as const;
const ones = (n: number): number[] => Array.from({ length: n }, () => 1);

describe('random effects', () => {
  const value = TRIALS.map(([a, b, c, d]) => Math.log(a / (a + b) / (c / (c + d))));
  const uncertainty = TRIALS.map(([a, b, c, d]) => Math.sqrt(1 / a - 1 / (a + b) + 1 / c - 1 / (c + d)));

  test('Paule and Mandel on the vaccine trials: 0.318 between trials, mean −0.715 (published comparisons; from memory)', () => {
    const fit = fitDays({ value, uncertainty }, [ones(13)]);
    expect(fit?.betweenDays).toBeCloseTo(0.318, 3);
    expect(fit?.coefficients[0]).toBeCloseTo(-0.715, 3);
    /* Its definition: weighted residual squares equal the degrees of freedom. */
    expect(fit?.squares).toBeCloseTo(12, 6);
    /* Hartung and Knapp: with scale 1 the standard error is 1/√Σw. */
    const weights = uncertainty.reduce((sum, u) => sum + 1 / (u * u + (fit?.betweenDays ?? NaN)), 0);
    if (fit === undefined) throw new Error('no fit');
    const { low, high } = coefficientOf(fit, 0);
    expect((high - low) / 2).toBeCloseTo(studentTQuantile(0.975, 12) / Math.sqrt(weights), 6);
  });

  test('equal uncertainties, whatever their size, are ordinary least squares: certified line of NIST StRD Norris', () => {
    const { x, y } = strd.norris;
    for (const each of [1e-3, 0.88, 50]) {
      const fit = fitDays({ value: y, uncertainty: y.map(() => each) }, [ones(y.length), x]);
      if (fit === undefined) throw new Error('no fit');
      expect(correctDigits(fit.coefficients[1] as number, 1.00211681802045)).toBeGreaterThan(8);
      const { low, high } = coefficientOf(fit, 1);
      expect((high - low) / 2 / studentTQuantile(0.975, 34)).toBeCloseTo(0.429796848199937e-3, 9);
      const line = lineFit(x, y);
      expect(fittedAt(fit, [1, 500]).value).toBeCloseTo(line.intercept + 500 * line.slope, 6);
    }
  });

  test('days that say nothing of a coefficient settle nothing', () => {
    expect(fitDays({ value: [1, 2, 3], uncertainty: [1, 1, 1] }, [ones(3), ones(3)])).toBeUndefined();
    expect(fitDays({ value: [1], uncertainty: [1] }, [ones(1)])).toBeUndefined();
  });
});

describe('limits of individual values', () => {
  test('flow rates of NIST/SEMATECH e-Handbook 6.3.2.2: 50.81, limits 55.8041 and 45.8159 (from memory, recalculated)', () => {
    const { centre, low, high } = individualsLimits([49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]);
    expect(centre).toBeCloseTo(50.81, 10);
    /* The handbook rounds d₂ to 1.128. */
    expect(high).toBeCloseTo(55.8041, 2);
    expect(low).toBeCloseTo(45.8159, 2);
  });

  test('a planned step does not widen them, and they lie about the last level', () => {
    const noise = [0.1, -0.1, 0.1, -0.1, 0.1, -0.1];
    const flat = individualsLimits(noise, noise.map(() => 0));
    const stepped = individualsLimits(noise.map((e, i) => e + (i < 3 ? 0 : 5)), noise.map((_, i) => (i < 3 ? 0 : 5)));
    expect(stepped.high - 5).toBeCloseTo(flat.high, 12);
    expect(individualsLimits([1])).toEqual({ centre: 1, low: NaN, high: NaN });
  });
});
