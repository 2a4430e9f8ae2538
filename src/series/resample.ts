import { countUpTo } from '../../shared/ascending.ts';

/*
 * From irregular samples to regular cells. Cell i stands for [start + i·step, start + (i + 1)·step), in seconds.
 * `time` never decreases and is finite; `value` may hold NaN = not available. All passes are linear and allocate only
 * what they return.
 */

/** Index of the last sample at or before t (of several at the same time the last), -1 when there is none. */
export function indexAtOrBefore(time: ArrayLike<number>, t: number): number {
  return countUpTo(time, t) - 1;
}

/** Index of the first sample at or after t, the length when there is none. */
export function firstAtOrAfter(time: ArrayLike<number>, t: number): number {
  let low = 0;
  let high = time.length;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if ((time[middle] as number) < t) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** The value at t, linear between its two neighbours; NaN outside the series or where a neighbour needed is NaN. */
export function valueAt(time: ArrayLike<number>, value: ArrayLike<number>, t: number): number {
  const i = indexAtOrBefore(time, t);
  if (i < 0) return Number.NaN;
  const before = time[i] as number;
  const y = value[i] as number;
  if (before === t) return y;
  if (i + 1 >= time.length) return Number.NaN;
  const share = (t - before) / ((time[i + 1] as number) - before);
  return y + share * ((value[i + 1] as number) - y);
}

/** The mean of the samples in each cell; NaN samples do not count, a cell without any other is NaN. */
export function meanPerCell(
  time: ArrayLike<number>,
  value: ArrayLike<number>,
  start: number,
  step: number,
  cells: number,
): Float64Array {
  const means = new Float64Array(cells).fill(Number.NaN);
  let i = firstAtOrAfter(time, start);
  for (let cell = 0; cell < cells && i < time.length; cell++) {
    const edge = start + (cell + 1) * step;
    let sum = 0;
    let count = 0;
    for (; i < time.length && (time[i] as number) < edge; i++) {
      const x = value[i] as number;
      if (Number.isNaN(x)) continue;
      sum += x;
      count++;
    }
    if (count > 0) means[cell] = sum / count;
  }
  return means;
}

/**
 * For states that are sent on change: the latest sample at or before the middle of each cell, NaN when that sample is
 * NaN or older than `longest` seconds.
 */
export function holdPerCell(
  time: ArrayLike<number>,
  value: ArrayLike<number>,
  start: number,
  step: number,
  cells: number,
  longest: number,
): Float64Array {
  const held = new Float64Array(cells).fill(Number.NaN);
  let at = indexAtOrBefore(time, start + step / 2);
  for (let cell = 0; cell < cells; cell++) {
    const middle = start + (cell + 0.5) * step;
    while (at + 1 < time.length && (time[at + 1] as number) <= middle) at++;
    if (at >= 0 && middle - (time[at] as number) <= longest) held[cell] = value[at] as number;
  }
  return held;
}

export { countPerCell, interpolateCounter, unwrapCounter, type CounterOptions } from './counter.ts';
