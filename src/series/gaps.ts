import type { Span } from '../../shared/span.ts';
import { median } from './robust.ts';

/** Longer than `longest` seconds, or than `factor` times the usual (median) interval between samples. */
export type GapRule = { readonly longest: number } | { readonly factor: number };

/** So many intervals tell the median well enough, whatever the length of the series. */
const ENOUGH_INTERVALS = 100_000;

/** The usual interval between samples in seconds, the median of those above 0; NaN below two samples. */
export function usualInterval(time: ArrayLike<number>): number {
  const intervals: number[] = [];
  const stride = Math.max(1, Math.floor(time.length / ENOUGH_INTERVALS));
  for (let i = 1; i < time.length; i += stride) {
    const interval = (time[i] as number) - (time[i - 1] as number);
    if (interval > 0) intervals.push(interval);
  }
  return median(intervals);
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
