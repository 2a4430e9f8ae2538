import { studentTQuantile } from './distributions.ts';

export interface LagOptions {
  /** Longest lag looked at either way, in seconds. */
  readonly longest: number;
  /** Slower changes than this are taken off first, in seconds; default 4 × longest. */
  readonly slowest?: number;
  /** Stretches left out in turn for the interval; default 12. */
  readonly blocks?: number;
}

export interface Lag {
  /** Seconds by which b follows a; negative when b leads. NaN = cannot tell. */
  readonly lag: number;
  readonly low: number;
  readonly high: number;
  /** Correlation at that lag. */
  readonly correlation: number;
}

const UNKNOWN: Lag = { lag: Number.NaN, low: Number.NaN, high: Number.NaN, correlation: Number.NaN };

/** The series less its running mean over 2·half + 1 cells, NaN cells left out of it. */
function highPassed(series: Float64Array, half: number): Float64Array {
  const n = series.length;
  const passed = new Float64Array(n);
  let sum = 0;
  let count = 0;
  const add = (i: number, sign: 1 | -1): void => {
    const x = i >= 0 && i < n ? (series[i] as number) : Number.NaN;
    if (Number.isNaN(x)) return;
    sum += sign * x;
    count += sign;
  };
  for (let i = 0; i < half; i++) add(i, 1);
  for (let i = 0; i < n; i++) {
    add(i + half, 1);
    passed[i] = (series[i] as number) - sum / count;
    add(i - half, -1);
  }
  return passed;
}

/** Sums over the pairs of one stretch, per lag: products and squares, from which correlations are put together. */
interface PairSums {
  readonly ab: Float64Array;
  readonly aa: Float64Array;
  readonly bb: Float64Array;
}

function pairSums(a: Float64Array, b: Float64Array, from: number, to: number, most: number): PairSums {
  const lags = 2 * most + 1;
  const sums = { ab: new Float64Array(lags), aa: new Float64Array(lags), bb: new Float64Array(lags) };
  for (let k = 0; k < lags; k++) {
    const shift = k - most;
    let ab = 0;
    let aa = 0;
    let bb = 0;
    const last = Math.min(to, b.length - shift);
    for (let i = Math.max(from, -shift); i < last; i++) {
      const x = a[i] as number;
      const y = b[i + shift] as number;
      const product = x * y;
      if (Number.isNaN(product)) continue;
      ab += product;
      aa += x * x;
      bb += y * y;
    }
    sums.ab[k] = ab;
    sums.aa[k] = aa;
    sums.bb[k] = bb;
  }
  return sums;
}

/** How many equally telling stretches these are worth: few, when a handful of them hold all the movement. */
function tellingParts(parts: readonly PairSums[]): number {
  const movement = parts.map((part) => Math.max(0, ...part.ab.map(Math.abs)));
  const sum = movement.reduce((total, x) => total + x, 0);
  return (sum * sum) / movement.reduce((total, x) => total + x * x, 0);
}

function correlationsOf(sums: PairSums): Float64Array {
  return sums.ab.map((ab, k) => ab / Math.sqrt((sums.aa[k] as number) * (sums.bb[k] as number)));
}

function indexOfGreatest(values: Float64Array): number {
  let top = 0;
  for (let k = 1; k < values.length; k++) {
    if ((values[k] as number) > (values[top] as number) || Number.isNaN(values[top] as number)) top = k;
  }
  return top;
}

/** How many cells the peak is wide at half its height, cut where the range ends. */
function widthAtHalf(correlation: Float64Array, top: number): number {
  const half = (correlation[top] as number) / 2;
  let reach = 1;
  while ((correlation[top - reach] ?? half) > half && (correlation[top + reach] ?? half) > half) reach++;
  const room = Math.min(top, correlation.length - 1 - top) - 1;
  return 2 * Math.min(reach, room);
}

/**
 * The centre of symmetry of the peak: where the correlation is the same `width`/2 cells to either side. A parabola
 * through the three highest points leans to whole cells by up to a tenth of one when the peak is pointed, as that of
 * steps is; the flanks are straight there, and what interpolation gets wrong on one it gets wrong on the other.
 */
function centreOf(correlation: Float64Array, top: number, width: number): number {
  const lean = (k: number): number => (correlation[k + width] as number) - (correlation[k] as number);
  const middle = top - width / 2;
  for (let away = 0; away <= width / 2; away++) {
    for (const k of away === 0 ? [middle] : [middle - away, middle + away]) {
      const here = lean(k);
      const next = lean(k + 1);
      if (here >= 0 && next < 0) return k + width / 2 + here / (here - next);
    }
  }
  return Number.NaN;
}

/**
 * How far b lags behind a, two series of one step (s), from the peak of their cross-correlation once slow changes are
 * off. The 95 % interval is by jack-knife over stretches of the series, so it knows about autocorrelation. NaN cells
 * are left out. 'Cannot tell' (NaN) when the peak lies at the end of the range or no stretch varies.
 */
export function lagBetween(a: Float64Array, b: Float64Array, step: number, options: LagOptions): Lag {
  const most = Math.ceil(options.longest / step);
  const half = Math.max(2, Math.round((options.slowest ?? 4 * options.longest) / step / 2));
  const highA = highPassed(a, half);
  const highB = highPassed(b, half);
  const n = Math.min(a.length, b.length);
  const blocks = Math.max(2, Math.min(options.blocks ?? 12, Math.floor(n / (2 * most + 1))));
  const parts = Array.from({ length: blocks }, (_, k) =>
    pairSums(highA, highB, Math.floor((k * n) / blocks), Math.floor(((k + 1) * n) / blocks), most),
  );
  const total = (skip: number): PairSums => {
    const sum = (key: keyof PairSums): Float64Array => {
      const all = new Float64Array(2 * most + 1);
      parts.forEach((part, k) => {
        if (k !== skip) for (let i = 0; i < all.length; i++) all[i] = (all[i] as number) + (part[key][i] as number);
      });
      return all;
    };
    return { ab: sum('ab'), aa: sum('aa'), bb: sum('bb') };
  };
  const correlation = correlationsOf(total(-1));
  const top = indexOfGreatest(correlation);
  const width = widthAtHalf(correlation, top);
  if (!(width >= 2)) return UNKNOWN;
  const lagOf = (skip: number): number => {
    const part = correlationsOf(total(skip));
    return (centreOf(part, indexOfGreatest(part), width) - most) * step;
  };
  const lag = lagOf(-1);
  const leftOut = parts.map((_, k) => lagOf(k));
  const mean = leftOut.reduce((sum, at) => sum + at, 0) / blocks;
  const variance = (leftOut.reduce((sum, at) => sum + (at - mean) ** 2, 0) * (blocks - 1)) / blocks;
  const reach = studentTQuantile(0.975, Math.max(1, tellingParts(parts) - 1)) * Math.sqrt(variance);
  if (Number.isNaN(reach)) return UNKNOWN;
  return { lag, low: lag - reach, high: lag + reach, correlation: correlation[top] as number };
}
