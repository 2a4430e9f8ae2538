import type { Blocks, Samples } from '../shared/api.ts';
import type { Channel } from '../shared/channel.ts';
import { firstAtOrAfter, indexAtOrBefore } from './series/resample.ts';

/** Samples per pixel column from which blocks are drawn instead of samples. */
const SAMPLES_PER_COLUMN = 4;
/** Samples of a stretch whose extremes are kept. */
const STRETCH = 16;

/** Least and greatest value of each 16 samples, and how many of them hold one; made when first needed. */
interface Extremes {
  readonly min: Float32Array;
  readonly max: Float32Array;
  readonly count: Uint8Array;
}

const known = new WeakMap<Channel, Extremes>();

/** One channel over [from, to] s for a plot `columns` pixels wide: its samples, or first/min/max/last per column when there are many. */
export function blocksOf(channel: Channel, from: number, to: number, columns: number): Blocks | Samples {
  const { time, value } = channel;
  /* one sample beyond each edge, so that lines run out of the picture */
  const first = Math.max(0, indexAtOrBefore(time, from));
  const after = Math.min(time.length, indexAtOrBefore(time, to) + 2);
  const samples = Math.max(0, after - first);
  if (samples <= columns * SAMPLES_PER_COLUMN) {
    return { kind: 'samples', from, to, samples, time: time.slice(first, after), value: Float64Array.from(value.subarray(first, after)) };
  }
  return { kind: 'blocks', from, to, samples, ...columnsOf(channel, from, to, columns) };
}

/** As series/decimate.ts `firstMinMaxLast`, with the same result: whole stretches are not looked at sample by sample. */
function columnsOf(channel: Channel, from: number, to: number, columns: number): Pick<Blocks, 'first' | 'min' | 'max' | 'last'> {
  const { time, value } = channel;
  let extremes = known.get(channel);
  if (extremes === undefined) {
    extremes = extremesOf(value);
    known.set(channel, extremes);
  }
  const width = (to - from) / columns;
  const empty = (): Float32Array => new Float32Array(columns).fill(Number.NaN);
  const result = { first: empty(), min: empty(), max: empty(), last: empty() };
  let start = firstAtOrAfter(time, from);
  const last = firstAtOrAfter(time, to);
  for (let column = 0; column < columns && start < last; column++) {
    const end = column + 1 === columns ? last : nextAtOrAfter(time, start, last, from + (column + 1) * width);
    const count = fillColumn(result, column, value, extremes, start, end);
    if (count > 0) {
      let one = start;
      let other = end - 1;
      while (Number.isNaN(value[one] as number)) one++;
      while (Number.isNaN(value[other] as number)) other--;
      result.first[column] = value[one] as number;
      result.last[column] = value[other] as number;
    }
    start = end;
  }
  return result;
}

/** Puts least and greatest of samples [start, end) into a column; returns the number of values among them. */
function fillColumn(into: { readonly min: Float32Array; readonly max: Float32Array }, column: number, value: Channel['value'], extremes: Extremes, start: number, end: number): number {
  let min = Infinity;
  let max = -Infinity;
  let count = 0;
  let i = start;
  while (i < end) {
    if (i % STRETCH === 0 && i + STRETCH <= end) {
      const stretch = i / STRETCH;
      if ((extremes.min[stretch] as number) < min) min = extremes.min[stretch] as number;
      if ((extremes.max[stretch] as number) > max) max = extremes.max[stretch] as number;
      count += extremes.count[stretch] as number;
      i += STRETCH;
      continue;
    }
    const x = value[i] as number;
    i++;
    if (Number.isNaN(x)) continue;
    if (x < min) min = x;
    if (x > max) max = x;
    count++;
  }
  if (count > 0) {
    into.min[column] = min;
    into.max[column] = max;
  }
  return count;
}

function extremesOf(value: Channel['value']): Extremes {
  const stretches = Math.floor(value.length / STRETCH);
  const made = { min: new Float32Array(stretches), max: new Float32Array(stretches), count: new Uint8Array(stretches) };
  for (let stretch = 0; stretch < stretches; stretch++) lookOver(value, stretch, made);
  return made;
}

/** A function of its own, and plain variables: the first picture of a day waits for this before it is compiled. */
function lookOver(value: Channel['value'], stretch: number, into: Extremes): void {
  let min = Infinity;
  let max = -Infinity;
  let count = 0;
  const end = (stretch + 1) * STRETCH;
  for (let i = end - STRETCH; i < end; i++) {
    const x = value[i] as number;
    if (x < min) min = x;
    if (x > max) max = x;
    if (x === x) count++;
  }
  into.min[stretch] = min;
  into.max[stretch] = max;
  into.count[stretch] = count;
}

/** First index from `start` on with time at or after t: doubling steps, then halving, since it is near. */
function nextAtOrAfter(time: Float64Array, start: number, last: number, t: number): number {
  let step = 1;
  let low = start;
  while (low + step < last && (time[low + step] as number) < t) {
    low += step;
    step *= 2;
  }
  let high = Math.min(last, low + step);
  if ((time[low] as number) >= t) return low;
  while (low + 1 < high) {
    const middle = (low + high) >>> 1;
    if ((time[middle] as number) < t) low = middle;
    else high = middle;
  }
  return high;
}
