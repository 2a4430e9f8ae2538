/** What GNSS or network time says about the log's clock. */
export interface ClockOffset {
  /** Seconds to add to logged times to get UTC: the median of all comparisons. */
  readonly offset: number;
  /** 95 % of the comparisons lie between these: their spread, with the messages' own delays, not a standard error. */
  readonly low: number;
  readonly high: number;
  readonly n: number;
  /** Medians of the first and the last tenth of the comparisons: how far the log's clock drifted or was set meanwhile. */
  readonly first: number;
  readonly last: number;
}

/** Fewer comparisons than this say nothing certain. */
const FEWEST = 3;

/** `values` = UTC − logged time in seconds, in the order logged, as in channel `clock.offset`; undefined when there are too few. */
export function clockOffset(values: ArrayLike<number>): ClockOffset | undefined {
  const known = Array.from(values).filter(Number.isFinite);
  if (known.length < FEWEST) return undefined;
  const tenth = Math.max(FEWEST, Math.ceil(known.length / 10));
  const sorted = known.toSorted((a, b) => a - b);
  return {
    offset: at(sorted, 0.5),
    low: at(sorted, 0.025),
    high: at(sorted, 0.975),
    n: known.length,
    first: at(known.slice(0, tenth).sort((a, b) => a - b), 0.5),
    last: at(known.slice(-tenth).sort((a, b) => a - b), 0.5),
  };
}

/** Quantile of sorted numbers, interpolated (type 7). */
function at(sorted: readonly number[], probability: number): number {
  const place = (sorted.length - 1) * probability;
  const below = sorted[Math.floor(place)] as number;
  const above = sorted[Math.ceil(place)] as number;
  return below + (above - below) * (place - Math.floor(place));
}
