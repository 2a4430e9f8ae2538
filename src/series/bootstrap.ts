import type { Interval } from '../../shared/span.ts';
import { normalCdf, normalQuantile, studentTQuantile } from './distributions.ts';
import { createRandom } from './random.ts';
import { quantile } from './robust.ts';

export interface BootstrapOptions {
  readonly resamples?: number;
  readonly seed?: number;
  readonly level?: number;
}

export function bootstrapInterval(
  units: number,
  statistic: (indices: Int32Array) => number,
  options: BootstrapOptions = {},
): Interval {
  const { resamples = 2000, seed = 1, level = 0.95 } = options;
  const value = statistic(Int32Array.from({ length: units }, (_, i) => i));
  if (units < 3) return { value, low: -Infinity, high: Infinity };
  const random = createRandom(seed);
  const indices = new Int32Array(units);
  const replicates = new Float64Array(resamples);
  let below = 0;
  for (let b = 0; b < resamples; b++) {
    for (let i = 0; i < units; i++) indices[i] = random.integer(units);
    const replicate = statistic(indices);
    replicates[b] = replicate;
    if (replicate < value) below++;
    else if (replicate === value) below += 0.5;
  }
  const bias = normalQuantile(Math.min(Math.max(below / resamples, 0.5 / resamples), 1 - 0.5 / resamples));
  const acceleration = accelerationOf(units, statistic);
  const reach = studentTQuantile((1 + level) / 2, units - 1) * Math.sqrt(units / (units - 1));
  const at = (z: number): number => {
    const shifted = bias + z;
    return quantile(replicates, normalCdf(bias + shifted / Math.max(0.1, 1 - acceleration * shifted)));
  };
  return { value, low: at(-reach), high: at(reach) };
}

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
  return squares > 0 ? cubes / (6 * squares ** 1.5) : 0;
}

export function movingBlockStandardError(values: ArrayLike<number>, block: number): number {
  const n = values.length;
  const blocks = n - block + 1;
  if (blocks < 2) return Number.NaN;
  const means = new Float64Array(blocks);
  let sum = 0;
  for (let i = 0; i < n; i++) {
    sum += values[i] as number;
    if (i >= block) sum -= values[i - block] as number;
    if (i >= block - 1) means[i - block + 1] = sum / block;
  }
  const mean = means.reduce((total, x) => total + x, 0) / blocks;
  let squares = 0;
  for (const x of means) squares += (x - mean) ** 2;
  return Math.sqrt(((block / n) * squares) / blocks);
}
