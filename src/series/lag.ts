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

/** Place (in cells) and height of the highest correlation, by a parabola through it and its neighbours. */
function peakOf(sums: PairSums, most: number): { readonly at: number; readonly height: number } {
  const correlation = sums.ab.map((ab, k) => ab / Math.sqrt((sums.aa[k] as number) * (sums.bb[k] as number)));
  let top = 0;
  for (let k = 1; k < correlation.length; k++) if (!((correlation[k] as number) <= (correlation[top] as number))) top = k;
  const here = correlation[top] as number;
  const left = correlation[top - 1] ?? Number.NaN;
  const right = correlation[top + 1] ?? Number.NaN;
  const bend = left - 2 * here + right;
  const offset = bend < 0 ? (0.5 * (left - right)) / bend : Number.NaN;
  return { at: top - most + offset, height: here };
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
  const whole = peakOf(total(-1), most);
  if (Number.isNaN(whole.at)) return UNKNOWN;
  const leftOut = parts.map((_, k) => peakOf(total(k), most).at);
  const mean = leftOut.reduce((sum, at) => sum + at, 0) / blocks;
  const variance = (leftOut.reduce((sum, at) => sum + (at - mean) ** 2, 0) * (blocks - 1)) / blocks;
  const reach = studentTQuantile(0.975, blocks - 1) * Math.sqrt(variance) * step;
  const lag = whole.at * step;
  return { lag, low: lag - reach, high: lag + reach, correlation: whole.height };
}
