import { normalQuantile } from './distributions.ts';
import { pairMomentsOf } from './moments.ts';
import { median } from './robust.ts';

/* x and y are equally long and finite throughout this file. Standard errors are those of one standard deviation. */

export interface LineFit {
  readonly intercept: number;
  readonly slope: number;
  readonly interceptStandardError: number;
  readonly slopeStandardError: number;
  /** Covariance of intercept and slope: without it a prediction's uncertainty comes out wrong (GUM H.3). */
  readonly covariance: number;
  readonly residualSd: number;
  readonly rSquared: number;
  readonly degreesOfFreedom: number;
}

/**
 * Ordinary least squares y = intercept + slope·x, for an x known much better than y.
 * Fewer than two distinct x give NaN; two points give NaN standard errors.
 */
export function lineFit(x: ArrayLike<number>, y: ArrayLike<number>): LineFit {
  const n = x.length;
  const { meanX, meanY, sxx, sxy, syy } = pairMomentsOf(x, y);
  const slope = sxy / sxx;
  const intercept = meanY - slope * meanX;
  let residualSquares = 0;
  for (let i = 0; i < n; i++) {
    residualSquares += ((y[i] as number) - meanY - slope * ((x[i] as number) - meanX)) ** 2;
  }
  const degreesOfFreedom = n - 2;
  const variance = degreesOfFreedom > 0 ? residualSquares / degreesOfFreedom : Number.NaN;
  return {
    intercept,
    slope,
    interceptStandardError: Math.sqrt(variance * (1 / n + (meanX * meanX) / sxx)),
    slopeStandardError: Math.sqrt(variance / sxx),
    covariance: (-meanX * variance) / sxx,
    residualSd: Math.sqrt(variance),
    rSquared: 1 - residualSquares / syy,
    degreesOfFreedom,
  };
}

export interface Prediction {
  readonly value: number;
  /** Standard uncertainty of the line itself at x, not of one new observation. */
  readonly standardError: number;
}

/** The fitted line at x, covariance of intercept and slope included. */
export function lineAt(fit: LineFit, x: number): Prediction {
  const variance = fit.interceptStandardError ** 2 + 2 * x * fit.covariance + (x * fit.slopeStandardError) ** 2;
  return { value: fit.intercept + fit.slope * x, standardError: Math.sqrt(Math.max(0, variance)) };
}

export interface OriginFit {
  readonly slope: number;
  readonly slopeStandardError: number;
  readonly residualSd: number;
  /** About zero, not about the mean: not to be compared with that of a line with an intercept. */
  readonly rSquared: number;
  readonly degreesOfFreedom: number;
}

/** Least squares y = slope·x: the model for pulses and distance, where nothing means nothing. */
export function slopeThroughOrigin(x: ArrayLike<number>, y: ArrayLike<number>): OriginFit {
  let sxx = 0;
  let sxy = 0;
  let syy = 0;
  for (let i = 0; i < x.length; i++) {
    const xi = x[i] as number;
    const yi = y[i] as number;
    sxx += xi * xi;
    sxy += xi * yi;
    syy += yi * yi;
  }
  const slope = sxy / sxx;
  let residualSquares = 0;
  for (let i = 0; i < x.length; i++) residualSquares += ((y[i] as number) - slope * (x[i] as number)) ** 2;
  const degreesOfFreedom = x.length - 1;
  const variance = degreesOfFreedom > 0 ? residualSquares / degreesOfFreedom : Number.NaN;
  return {
    slope,
    slopeStandardError: Math.sqrt(variance / sxx),
    residualSd: Math.sqrt(variance),
    rSquared: 1 - residualSquares / syy,
    degreesOfFreedom,
  };
}

export interface TheilSenFit {
  readonly slope: number;
  /** Interval of the slope. */
  readonly low: number;
  readonly high: number;
  /** median(y) - slope·median(x). */
  readonly interceptOfMedians: number;
  /** median(y - slope·x). */
  readonly interceptOfResiduals: number;
}

/** How many values share each tie, summed as Kendall's variance correction wants it. */
function tieCorrection(values: ArrayLike<number>): number {
  const sorted = new Float64Array(values).sort();
  let sum = 0;
  for (let i = 0; i < sorted.length; ) {
    let j = i;
    while (j < sorted.length && sorted[j] === sorted[i]) j++;
    const ties = j - i;
    sum += ties * (ties - 1) * (2 * ties + 5);
    i = j;
  }
  return sum;
}

/**
 * The median of the slopes between all pairs with different x (Theil; interval after Sen 1968, with ties).
 * Robust to 29 % contamination. Takes n² steps: thin to some thousand points first.
 */
export function theilSen(x: ArrayLike<number>, y: ArrayLike<number>, level = 0.95): TheilSenFit {
  const n = x.length;
  const slopes = new Float64Array((n * (n - 1)) / 2);
  let count = 0;
  for (let i = 0; i < n; i++) {
    for (let j = i + 1; j < n; j++) {
      const run = (x[j] as number) - (x[i] as number);
      if (run !== 0) slopes[count++] = ((y[j] as number) - (y[i] as number)) / run;
    }
  }
  const sorted = slopes.subarray(0, count).sort();
  const slope = median(sorted);
  const variance = (n * (n - 1) * (2 * n + 5) - tieCorrection(x) - tieCorrection(y)) / 18;
  const reach = normalQuantile((1 + level) / 2) * Math.sqrt(Math.max(0, variance));
  const last = count - 1;
  return {
    slope,
    low: sorted[Math.min(Math.max(Math.round((count - reach) / 2) - 1, 0), last)] ?? Number.NaN,
    high: sorted[Math.max(Math.min(Math.round((count + reach) / 2), last), 0)] ?? Number.NaN,
    interceptOfMedians: median(y) - slope * median(x),
    interceptOfResiduals: median(Float64Array.from(y, (yi, i) => yi - slope * (x[i] as number))),
  };
}

export { deming, york, type DemingFit, type YorkFit } from './errors-in-both.ts';
