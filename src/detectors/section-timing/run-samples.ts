import type { Channel } from '../../../shared/channel.ts';
import { firstAtOrAfter } from '../../series/resample.ts';
import { median } from '../../series/robust.ts';
import { seedRate } from '../run-flow/dead-time.ts';

/** Counts of one run as logged, with their own times: edges are finer than seconds. */
export interface RunSamples {
  readonly number: number;
  readonly time: Float64Array;
  readonly value: ArrayLike<number>;
  /** s between samples. A sample is taken to stand for half of it on either side. */
  readonly interval: number;
}

export function runSamples(number: number, { time, value }: Channel): RunSamples | undefined {
  const some = Math.min(time.length - 1, 2000);
  if (some < 10) return undefined;
  const interval = median(Float64Array.from({ length: some }, (_, k) => (time[k + 1] as number) - (time[k] as number)));
  return interval > 0 ? { number, time, value, interval } : undefined;
}

/** What a run gave in a stretch of whole samples. */
export interface Integral {
  /** Seeds, dead time undone (a sensor near saturation makes a fading flow look longer than it is), weighted. */
  readonly counts: number;
  /** Counts as they are. */
  readonly seen: number;
  /** Begin of the first and end of the last sample's share of time, s. */
  readonly start: number;
  readonly end: number;
}

/** Counts of the samples whose times lie in [from, to), each times its weight; undefined when some are missing. */
export function integrate({ time, value, interval }: RunSamples, from: number, to: number, weight: (time: number) => number): Integral | undefined {
  let k = firstAtOrAfter(time, from);
  const first = time[k] as number;
  let counts = 0;
  let seen = 0;
  let n = 0;
  let last = first;
  for (; k < time.length && (time[k] as number) < to; k++) {
    const rate = value[k] as number;
    last = time[k] as number;
    if (Number.isNaN(rate)) return undefined;
    counts += seedRate(rate) * interval * weight(last);
    seen += rate * interval;
    n++;
  }
  if (n === 0 || Math.abs(n * interval - (to - from)) > 1.5 * interval) return undefined;
  return { counts, seen, start: first - interval / 2, end: last + interval / 2 };
}
