import { quantile } from './robust.ts';

export interface CounterOptions {
  /** Longest pause between samples, in seconds, over which the count is taken to have run evenly. */
  readonly longestGap: number;
  /** The count at which the counter starts again from 0, in the unit of the values; detected when not given. */
  readonly modulus?: number;
}

/** Where counters turn over: the width of the field they are sent in. */
const FIELD_WIDTHS: readonly number[] = [2 ** 8, 2 ** 16, 2 ** 24, 2 ** 32];
/** A step counts as ordinary while it is at most this many times the fast end of the steps seen. */
const FASTEST = 4;

/** How fast the counter usually runs, per second, at its fast end: what a step across a wrap is judged by. */
function fastRateOf(time: ArrayLike<number>, value: ArrayLike<number>): number {
  const rates: number[] = [];
  const stride = Math.max(1, Math.floor(time.length / 20_000));
  for (let i = 1; i < time.length; i += stride) {
    const run = (time[i] as number) - (time[i - 1] as number);
    const rise = (value[i] as number) - (value[i - 1] as number);
    if (run > 0 && rise > 0) rates.push(rise / run);
  }
  return quantile(rates, 0.99);
}

/**
 * How far the counter moved at a step down. A wrap is believed when it makes an ordinary step; otherwise the counter
 * was reset and has counted what it shows, if that is an ordinary step, or else an unknown amount: 0.
 */
function moveAtDrop(before: number, after: number, believable: number, modulus: number | undefined): number {
  for (const width of modulus === undefined ? FIELD_WIDTHS : [modulus]) {
    const move = after - before + width;
    if (before <= width && move >= 0 && move <= believable) return move;
  }
  return after >= 0 && after <= believable ? after : 0;
}

/**
 * The counter made to run on: wraps and resets undone, starting from the first value read. NaN samples stay NaN and the
 * count goes on across them. Values are in counts when the modulus is to be detected.
 */
export function unwrapCounter(
  time: ArrayLike<number>,
  value: ArrayLike<number>,
  options: Pick<CounterOptions, 'modulus'> = {},
): Float64Array {
  const fastRate = fastRateOf(time, value);
  const unwrapped = new Float64Array(time.length).fill(Number.NaN);
  let lastTime = Number.NaN;
  let lastValue = Number.NaN;
  let total = Number.NaN;
  for (let i = 0; i < time.length; i++) {
    const x = value[i] as number;
    if (Number.isNaN(x)) continue;
    const t = time[i] as number;
    const move = x - lastValue;
    if (Number.isNaN(total)) total = x;
    else if (move >= 0) total += move;
    else total += moveAtDrop(lastValue, x, FASTEST * fastRate * (t - lastTime), options.modulus);
    unwrapped[i] = total;
    lastTime = t;
    lastValue = x;
  }
  return unwrapped;
}

/**
 * The unwrapped count at the start of each cell, linear between samples; NaN before the first and after the last
 * sample and inside a pause longer than `longestGap`.
 */
export function interpolateCounter(
  time: ArrayLike<number>,
  value: ArrayLike<number>,
  start: number,
  step: number,
  cells: number,
  options: CounterOptions,
): Float64Array {
  const counts = unwrapCounter(time, value, options);
  const result = new Float64Array(cells).fill(Number.NaN);
  let before = -1;
  let cell = 0;
  for (let i = 0; i < time.length && cell < cells; i++) {
    const count = counts[i] as number;
    if (Number.isNaN(count)) continue;
    const t = time[i] as number;
    for (let at = start + cell * step; cell < cells && at <= t; at = start + ++cell * step) {
      if (at === t) result[cell] = count;
      else if (before >= 0) {
        const from = time[before] as number;
        const base = counts[before] as number;
        if (t - from <= options.longestGap) result[cell] = base + ((at - from) / (t - from)) * (count - base);
      }
    }
    before = i;
  }
  return result;
}

/** What was counted in each cell: the differences of `interpolateCounter` over its edges, NaN where either is unknown. */
export function countPerCell(
  time: ArrayLike<number>,
  value: ArrayLike<number>,
  start: number,
  step: number,
  cells: number,
  options: CounterOptions,
): Float64Array {
  const edges = interpolateCounter(time, value, start, step, cells + 1, options);
  return Float64Array.from({ length: cells }, (_, cell) => (edges[cell + 1] as number) - (edges[cell] as number));
}
