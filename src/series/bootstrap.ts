import type { Interval } from '../../shared/span.ts';
import { studentTQuantile } from './distributions.ts';
import { createRandom } from './random.ts';

export interface BootstrapOptions {
  /** Default 2000, which leaves 1.6 % of chance in the width. */
  readonly resamples?: number;
  readonly seed?: number;
  readonly level?: number;
}

/**
 * A statistic and its confidence interval from resampling whole units: passes, events, fills; never raw samples.
 * `statistic` gets the indices of the units to use, each from 0 to `units` - 1, some twice; the array is reused between
 * calls. A NaN it returns for a resample is left out; when more than a tenth are NaN, or with fewer than two units,
 * the interval is infinite: cannot tell.
 *
 * Why this interval: percentile and BCa limits cover only 80 to 87 % with 6 or 8 units (seen in simulation), since they
 * know neither the t distribution nor the √(n/(n - 1)) that a resample's spread is short of. Studentised limits mend
 * that for the mean, but need a standard error inside every resample, which for medians and biweights the jack-knife
 * gets badly wrong. So: Student's t limits around the statistic, with the bootstrap's standard error (right for medians
 * too), bent for skewness by Hall's cubic transformation (1992, from memory) with the jack-knife's acceleration. It
 * covers as well as the studentised limits at the price of the percentile ones: in simulation 92 to 98 % for means,
 * medians and biweights of 6 to 40 normal or exponential units. Heavier tails cost some: 90 % for the mean of 6, 92 % of
 * 8 lognormal units with a log standard deviation of 0.8.
 */
export function bootstrapInterval(
  units: number,
  statistic: (indices: Int32Array) => number,
  options: BootstrapOptions = {},
): Interval {
  const { resamples = 2000, seed = 1, level = 0.95 } = options;
  const value = statistic(Int32Array.from({ length: units }, (_, i) => i));
  if (units < 2) return { value, low: -Infinity, high: Infinity };
  const random = createRandom(seed);
  const indices = new Int32Array(units);
  let count = 0;
  let mean = 0;
  let squares = 0;
  for (let b = 0; b < resamples; b++) {
    for (let i = 0; i < units; i++) indices[i] = random.integer(units);
    const replicate = statistic(indices);
    if (!Number.isFinite(replicate)) continue;
    count++;
    const away = replicate - mean;
    mean += away / count;
    squares += away * (replicate - mean);
  }
  if (count < 0.9 * resamples || count < 2 || !Number.isFinite(value)) return { value, low: -Infinity, high: Infinity };
  const standardError = Math.sqrt((squares / (count - 1)) * (units / (units - 1)));
  const acceleration = accelerationOf(units, statistic);
  const reach = studentTQuantile((1 + level) / 2, units - 1);
  return {
    value,
    low: value - standardError * unbent(reach, acceleration),
    high: value - standardError * unbent(-reach, acceleration),
  };
}

/** The t whose skewness-corrected form t + 2a·t² + (4/3)a²·t³ + a is w. */
function unbent(w: number, a: number): number {
  return Math.abs(a) < 1e-9 ? w : (Math.cbrt(1 + 6 * a * (w - a)) - 1) / (2 * a);
}

/** A sixth of the skewness of the statistic in standard units, from leaving out one unit at a time; 0 when unclear. */
function accelerationOf(units: number, statistic: (indices: Int32Array) => number): number {
  const leftOut = new Float64Array(units);
  const indices = new Int32Array(units - 1);
  for (let out = 0; out < units; out++) {
    for (let i = 0; i < units - 1; i++) indices[i] = i < out ? i : i + 1;
    leftOut[out] = statistic(indices);
  }
  const mean = leftOut.reduce((sum, x) => sum + x, 0) / units;
  let squares = 0;
  let cubes = 0;
  for (const x of leftOut) {
    squares += (mean - x) ** 2;
    cubes += (mean - x) ** 3;
  }
  const acceleration = cubes / (6 * squares ** 1.5);
  return Number.isFinite(acceleration) ? acceleration : 0;
}

/**
 * Standard error of the mean of an autocorrelated series by the moving-block bootstrap, in its limit of infinitely many
 * resamples: √(block/n · variance of the n - block + 1 block means). `block` is at least three times the correlation
 * time. Finite values; NaN when fewer than two blocks fit.
 */
export function movingBlockStandardError(values: ArrayLike<number>, block: number): number {
  const n = values.length;
  const blocks = n - block + 1;
  if (blocks < 2) return Number.NaN;
  const means = new Float64Array(blocks);
  for (let first = 0; first < blocks; first++) {
    let sum = 0;
    for (let i = first; i < first + block; i++) sum += values[i] as number;
    means[first] = sum / block;
  }
  const mean = means.reduce((total, x) => total + x, 0) / blocks;
  let squares = 0;
  for (const x of means) squares += (x - mean) ** 2;
  return Math.sqrt(((block / n) * squares) / blocks);
}
