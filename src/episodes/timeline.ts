/**
 * One-second views of the channels, made on first use and kept: the common ground on which channels of different
 * rates meet. Cell k covers second k to k + 1 of the day. NaN = nothing known there; gaps are never bridged.
 */
export interface Timeline {
  /** Whole seconds in the day. */
  readonly length: number;
  /** Mean of the samples inside each second; for sampled quantities slower than 1 Hz, the nearest within half an interval. */
  readonly mean: (channel: string) => Float64Array | undefined;
  /** Last known value at the middle of each second, kept at most `longestSeconds` (default: until the log ends or a gap): for states logged on change. */
  readonly held: (channel: string, longestSeconds?: number) => Float64Array | undefined;
  /** A cumulative counter read at the start of each second by linear interpolation (length + 1 values); wraps and resets undone, NaN across gaps. */
  readonly counter: (channel: string) => Float64Array | undefined;
}
