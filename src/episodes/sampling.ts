import type { Channel } from '../../shared/channel.ts';
import { median } from '../series/robust.ts';

/** How a channel was sampled, and its samples without the ones that hold no value. */
export interface Sampling {
  readonly time: Float64Array;
  readonly value: Float32Array | Float64Array;
  /** Usual seconds between samples; NaN below two samples. */
  readonly interval: number;
  /** A longer pause is a gap, s. */
  readonly longestGap: number;
  /** Sent at a steady pace, not on change. */
  readonly regular: boolean;
}

/** Shortest pause that counts as a gap, s, and how many usual intervals a pause must exceed. Common practice, no source. */
const SHORTEST_GAP = 3;
const GAP_INTERVALS = 5;
/** A steady pace: at least this share of the intervals within half to one and a half times the usual one. */
const REGULAR_SHARE = 0.8;
/** Fewer intervals show no pace. */
const LEAST_INTERVALS = 10;
const INTERVALS_LOOKED_AT = 4000;

export function samplingOf(channel: Pick<Channel, 'time' | 'value'>): Sampling {
  const { time, value } = withoutMissing(channel);
  const intervals = intervalsOf(time);
  const interval = median(intervals);
  let near = 0;
  for (const each of intervals) if (each >= 0.5 * interval && each <= 1.5 * interval) near++;
  return {
    time, value, interval,
    longestGap: Number.isNaN(interval) ? SHORTEST_GAP : Math.max(SHORTEST_GAP, GAP_INTERVALS * interval),
    regular: intervals.length >= LEAST_INTERVALS && near >= REGULAR_SHARE * intervals.length,
  };
}

function withoutMissing({ time, value }: Pick<Channel, 'time' | 'value'>): Pick<Channel, 'time' | 'value'> {
  let known = 0;
  for (let i = 0; i < value.length; i++) if (Number.isFinite(value[i])) known++;
  if (known === value.length) return { time, value };
  const knownTime = new Float64Array(known);
  const knownValue = new Float64Array(known);
  for (let i = 0, at = 0; i < value.length; i++) {
    if (!Number.isFinite(value[i])) continue;
    knownTime[at] = time[i] as number;
    knownValue[at++] = value[i] as number;
  }
  return { time: knownTime, value: knownValue };
}

function intervalsOf(time: Float64Array): Float64Array {
  const stride = Math.max(1, Math.floor(time.length / INTERVALS_LOOKED_AT));
  const intervals = new Float64Array(Math.ceil(Math.max(0, time.length - 1) / stride));
  let count = 0;
  for (let i = 1; i < time.length; i += stride) {
    const interval = (time[i] as number) - (time[i - 1] as number);
    if (interval > 0) intervals[count++] = interval;
  }
  return intervals.subarray(0, count);
}
