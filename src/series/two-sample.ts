import { fCdf, fTail, studentTQuantile, studentTTail } from './distributions.ts';
import type { Moments } from './moments.ts';

export { momentsOf, type Moments } from './moments.ts';

/* Samples come as their moments, so that an effective number of independent values can stand for the count. */

export interface MeanDifference {
  /** Mean of the first less mean of the second, with its interval. */
  readonly value: number;
  readonly low: number;
  readonly high: number;
  readonly standardError: number;
  readonly statistic: number;
  readonly degreesOfFreedom: number;
  /** Two-sided. */
  readonly p: number;
}

function differenceOf(a: Moments, b: Moments, standardError: number, degreesOfFreedom: number, level: number): MeanDifference {
  const value = a.mean - b.mean;
  const reach = studentTQuantile((1 + level) / 2, degreesOfFreedom) * standardError;
  const statistic = value / standardError;
  const p = 2 * studentTTail(Math.abs(statistic), degreesOfFreedom);
  return { value, low: value - reach, high: value + reach, standardError, statistic, degreesOfFreedom, p };
}

/** Welch's t: difference of two means, standard deviations not taken to be equal. Needs counts above 1. */
export function welchT(a: Moments, b: Moments, level = 0.95): MeanDifference {
  const fromA = (a.sd * a.sd) / a.count;
  const fromB = (b.sd * b.sd) / b.count;
  const variance = fromA + fromB;
  const degreesOfFreedom = variance ** 2 / (fromA ** 2 / (a.count - 1) + fromB ** 2 / (b.count - 1));
  return differenceOf(a, b, Math.sqrt(variance), degreesOfFreedom, level);
}

/** Student's t with one pooled standard deviation. */
export function pooledT(a: Moments, b: Moments, level = 0.95): MeanDifference {
  const degreesOfFreedom = a.count + b.count - 2;
  const variance = ((a.count - 1) * a.sd ** 2 + (b.count - 1) * b.sd ** 2) / degreesOfFreedom;
  return differenceOf(a, b, Math.sqrt(variance * (1 / a.count + 1 / b.count)), degreesOfFreedom, level);
}

export interface VarianceRatio {
  readonly ratio: number;
  readonly degreesOfFreedom: readonly [number, number];
  /** P of a ratio up to this one when the standard deviations are equal. */
  readonly cdf: number;
  /** Two-sided. */
  readonly p: number;
}

/** F test of equal standard deviations. */
export function fTest(a: Moments, b: Moments): VarianceRatio {
  const ratio = (a.sd / b.sd) ** 2;
  const df1 = a.count - 1;
  const df2 = b.count - 1;
  const cdf = fCdf(ratio, df1, df2);
  return { ratio, degreesOfFreedom: [df1, df2], cdf, p: Math.min(1, 2 * Math.min(cdf, fTail(ratio, df1, df2))) };
}
