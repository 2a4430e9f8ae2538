import { studentTQuantile } from './distributions.ts';
import { momentsOf } from './moments.ts';

/* For up to some hundred independent, roughly normal summary values; on raw samples the level means nothing. */

export interface ExtremeValue {
  readonly index: number;
  readonly value: number;
  /** Largest |value - mean|/sd. */
  readonly statistic: number;
  readonly critical: number;
}

export interface GrubbsResult extends ExtremeValue {
  readonly outlier: boolean;
}

function criticalValue(n: number, alpha: number): number {
  const t = studentTQuantile(1 - alpha / (2 * n), n - 2);
  return ((n - 1) / Math.sqrt(n)) * Math.sqrt((t * t) / (n - 2 + t * t));
}

function extremeOf(values: ArrayLike<number>, kept: readonly number[], alpha: number): ExtremeValue {
  const { mean, sd } = momentsOf(kept.map((index) => values[index] as number));
  let index = -1;
  let furthest = -1;
  for (const at of kept) {
    const away = Math.abs((values[at] as number) - mean);
    if (away > furthest) {
      furthest = away;
      index = at;
    }
  }
  const statistic = sd > 0 ? furthest / sd : 0;
  return { index, value: values[index] ?? Number.NaN, statistic, critical: criticalValue(kept.length, alpha) };
}

/** Grubbs' two-sided test for one outlier; a one-sided test at α has the critical value of a two-sided one at 2α. Needs three values. */
export function grubbs(values: ArrayLike<number>, alpha = 0.05): GrubbsResult {
  const extreme = extremeOf(values, Array.from({ length: values.length }, (_, i) => i), alpha);
  return { ...extreme, outlier: extreme.statistic > extreme.critical };
}

export interface EsdResult {
  /** Indices of the outliers, the furthest out first. */
  readonly outliers: readonly number[];
  /** One per value taken out. */
  readonly steps: readonly ExtremeValue[];
}

/**
 * Rosner's generalized extreme studentized deviate test for up to `most` outliers (1983): all steps are made before the
 * count is decided, since two outliers hide each other from a test that stops at the first failure.
 */
export function generalizedEsd(values: ArrayLike<number>, most: number, alpha = 0.05): EsdResult {
  let kept = Array.from({ length: values.length }, (_, i) => i);
  const steps: ExtremeValue[] = [];
  while (steps.length < most && kept.length >= 3) {
    const step = extremeOf(values, kept, alpha);
    steps.push(step);
    kept = kept.filter((index) => index !== step.index);
  }
  const count = steps.findLastIndex((step) => step.statistic > step.critical) + 1;
  return { outliers: steps.slice(0, count).map((step) => step.index), steps };
}
