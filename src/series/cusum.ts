export type CusumSide = 'high' | 'low';

export interface CusumSignal {
  readonly side: CusumSide;
  /** First value at which the sum exceeds h. */
  readonly index: number;
  /** First value of the excursion from zero: where the shift most likely began. */
  readonly onset: number;
}

export interface Cusum {
  readonly high: Float64Array;
  readonly low: Float64Array;
  /** One signal per excursion from zero, in order of `index`. */
  readonly signals: readonly CusumSignal[];
}

export interface CusumOptions {
  readonly target: number;
  /** Slack, in units of the values: half of the shift worth finding. */
  readonly k: number;
  /** Decision limit, in units of the values. */
  readonly h: number;
  /** Both sums start here, e.g. h/2 for a fast initial response. */
  readonly headStart?: number;
}

function oneSided(values: ArrayLike<number>, sign: 1 | -1, options: CusumOptions, signals: CusumSignal[]): Float64Array {
  const { target, k, h, headStart = 0 } = options;
  const sums = new Float64Array(values.length);
  let sum = headStart;
  let onset = 0;
  let told = false;
  for (let i = 0; i < values.length; i++) {
    const value = values[i] as number;
    if (sum === 0) {
      onset = i;
      told = false;
    }
    if (!Number.isNaN(value)) sum = Math.max(0, sum + sign * (value - target) - k);
    sums[i] = sum;
    if (sum > h && !told) {
      told = true;
      signals.push({ side: sign === 1 ? 'high' : 'low', index: i, onset });
    }
  }
  return sums;
}

/**
 * Two-sided tabular CUSUM: S_high = max(0, S_high + x - target - k), S_low likewise downwards; no reset after a signal.
 * Made for independent values: on autocorrelated ones it alarms all the time. A NaN value leaves the sums as they were.
 */
export function tabularCusum(values: ArrayLike<number>, options: CusumOptions): Cusum {
  const signals: CusumSignal[] = [];
  const high = oneSided(values, 1, options, signals);
  const low = oneSided(values, -1, options, signals);
  return { high, low, signals: signals.sort((a, b) => a.index - b.index) };
}

export interface EwmaOptions {
  /** Weight of the newest value, in (0, 1]. */
  readonly lambda: number;
  readonly start: number;
  /** Standard deviation of one value. */
  readonly sigma: number;
  /** Width of the limits in standard deviations of the average. */
  readonly L: number;
}

export interface Ewma {
  readonly average: Float64Array;
  readonly upper: number;
  readonly lower: number;
  /** Indices at which the average is outside the limits. */
  readonly outside: readonly number[];
}

/** Exponentially weighted moving average with fixed (long-run) limits. A NaN value leaves the average as it was. */
export function ewma(values: ArrayLike<number>, options: EwmaOptions): Ewma {
  const { lambda, start, sigma, L } = options;
  const reach = L * sigma * Math.sqrt(lambda / (2 - lambda));
  const average = new Float64Array(values.length);
  const outside: number[] = [];
  let current = start;
  for (let i = 0; i < values.length; i++) {
    const value = values[i] as number;
    if (!Number.isNaN(value)) current += lambda * (value - current);
    average[i] = current;
    if (Math.abs(current - start) > reach) outside.push(i);
  }
  return { average, upper: start + reach, lower: start - reach, outside };
}

/** The CUSUM reference value between two Poisson means (both > 0, different), counts per window. */
export function poissonReference(goodMean: number, badMean: number): number {
  return (badMean - goodMean) / Math.log(badMean / goodMean);
}
