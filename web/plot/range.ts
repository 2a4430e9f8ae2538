/** A stretch of the day, seconds from its start. */
export interface Range {
  readonly from: number;
  readonly to: number;
}
