import type { Interval } from '../../shared/span.ts';
import { robustSigmaOfDifferences } from './change-point.ts';
import { chiSquareCdf, chiSquareQuantile, chiSquareTail } from './distributions.ts';
import { momentsOf } from './moments.ts';
import { median } from './robust.ts';

export interface Dispersion {
  readonly mean: number;
  /** With divisor n - 1. */
  readonly variance: number;
  /** Variance over mean: 1 for Poisson counts, below 1 when the counter saturates, above when counts clump. */
  readonly ratio: number;
  /** Σ(x - mean)²/mean, chi-square with `degreesOfFreedom` for Poisson counts. */
  readonly statistic: number;
  readonly degreesOfFreedom: number;
  /** P of so much dispersion or more, and of so little or less, in Poisson counts. */
  readonly upperTail: number;
  readonly lowerTail: number;
}

/** Fisher's dispersion test of counts from equal windows. Needs two counts and a mean above 0, else NaN. */
export function poissonDispersion(counts: ArrayLike<number>): Dispersion {
  const { mean, sd } = momentsOf(counts);
  const variance = sd * sd;
  const degreesOfFreedom = counts.length - 1;
  const ratio = variance / mean;
  const statistic = ratio * degreesOfFreedom;
  return {
    mean,
    variance,
    ratio,
    statistic,
    degreesOfFreedom,
    upperTail: chiSquareTail(statistic, degreesOfFreedom),
    lowerTail: chiSquareCdf(statistic, degreesOfFreedom),
  };
}

/**
 * Variance over mean that neither a drift of the mean nor a tenth of wild windows moves: from the median absolute
 * difference of neighbouring counts, over the median count. NaN below two counts or with a median of 0; too coarse
 * below some five counts per window, where use `poissonDispersion`.
 */
export function fanoFactor(counts: ArrayLike<number>): number {
  const centre = median(counts);
  return centre > 0 ? robustSigmaOfDifferences(counts) ** 2 / centre : Number.NaN;
}

/** Garwood's exact interval of a Poisson mean of which `count` (a whole number >= 0) was seen. */
export function garwoodInterval(count: number, level = 0.95): Interval {
  const tail = (1 - level) / 2;
  return {
    value: count,
    low: count === 0 ? 0 : chiSquareQuantile(tail, 2 * count) / 2,
    high: chiSquareQuantile(1 - tail, 2 * count + 2) / 2,
  };
}

/** How a counter misses what follows too close: 'fixed' is blind for `tau` after each count, 'extending' after each arrival. */
export type DeadTimeKind = 'fixed' | 'extending';

/** The true rate behind an observed one, per second, for a fixed dead time `tau` in seconds; Infinity from 1/tau up. */
export function deadTimeCorrection(observedRate: number, tau: number): number {
  const live = 1 - observedRate * tau;
  return live > 0 ? observedRate / live : Infinity;
}

/** The rate a counter with dead time `tau` seconds shows at a true rate, per second. */
export function observedRate(trueRate: number, tau: number, kind: DeadTimeKind = 'fixed'): number {
  return kind === 'fixed' ? trueRate / (1 + trueRate * tau) : trueRate * Math.exp(-trueRate * tau);
}
