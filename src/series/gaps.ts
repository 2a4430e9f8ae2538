import type { Span } from '../../shared/span.ts';
import { median } from './robust.ts';

/** Longer than `longest` seconds, or than `factor` times the usual (median) interval between samples. */
export type GapRule = { readonly longest: number } | { readonly factor: number };

/** The usual interval between samples in seconds, the median of those above 0; NaN below two samples. */
export function usualInterval(time: ArrayLike<number>): number {
  const intervals = new Float64Array(Math.max(0, time.length - 1));
  let count = 0;
  for (let i = 1; i < time.length; i++) {
    const interval = (time[i] as number) - (time[i - 1] as number);
    if (interval > 0) intervals[count++] = interval;
  }
  return median(intervals.subarray(0, count));
}

/** The pauses of a regularly sampled series, each from its last sample before to its first after. `time` never decreases. */
export function gapsOf(time: ArrayLike<number>, rule: GapRule): Span[] {
  const longest = 'longest' in rule ? rule.longest : rule.factor * usualInterval(time);
  const gaps: Span[] = [];
  for (let i = 1; i < time.length; i++) {
    const start = time[i - 1] as number;
    const end = time[i] as number;
    if (end - start > longest) gaps.push({ start, end });
  }
  return gaps;
}
