/** A stretch of time, in seconds from the day's start, `start <= end`. The end is not part of the stretch. */
export interface Span {
  readonly start: number;
  readonly end: number;
}

/** A value with the bounds of its 95 % interval, all in the same unit. */
export interface Interval {
  readonly value: number;
  readonly low: number;
  readonly high: number;
}
