import { firstAtOrAfter } from './resample.ts';

/** What each pixel column shows of a series; all arrays have one entry per column. */
export interface Columns {
  /** Start of the column, in the unit of `time`. */
  readonly time: Float64Array;
  /** First, least, greatest and last value in the column, in single precision as a plot needs; NaN when it has none. */
  readonly first: Float32Array;
  readonly min: Float32Array;
  readonly max: Float32Array;
  readonly last: Float32Array;
  /** Samples with a value. */
  readonly count: Uint32Array;
  /** Samples without (NaN). */
  readonly missing: Uint32Array;
}

/**
 * Reduces a series to one block per pixel column over [from, to), keeping every extreme. `time` never decreases.
 * One pass over the samples in view.
 */
export function firstMinMaxLast(
  time: ArrayLike<number>,
  value: ArrayLike<number>,
  from: number,
  to: number,
  columns: number,
): Columns {
  const width = (to - from) / columns;
  const empty = (): Float32Array => new Float32Array(columns).fill(Number.NaN);
  const result = {
    time: Float64Array.from({ length: columns }, (_, column) => from + column * width),
    first: empty(),
    min: empty(),
    max: empty(),
    last: empty(),
    count: new Uint32Array(columns),
    missing: new Uint32Array(columns),
  };
  let i = firstAtOrAfter(time, from);
  const end = firstAtOrAfter(time, to);
  for (let column = 0; column < columns && i < end; column++) {
    const edge = column + 1 === columns ? to : from + (column + 1) * width;
    let first = Number.NaN;
    let min = Infinity;
    let max = -Infinity;
    let last = Number.NaN;
    let count = 0;
    let missing = 0;
    for (; i < end && (time[i] as number) < edge; i++) {
      const x = value[i] as number;
      if (Number.isNaN(x)) {
        missing++;
        continue;
      }
      if (count === 0) first = x;
      if (x < min) min = x;
      if (x > max) max = x;
      last = x;
      count++;
    }
    result.count[column] = count;
    result.missing[column] = missing;
    if (count === 0) continue;
    result.first[column] = first;
    result.min[column] = min;
    result.max[column] = max;
    result.last[column] = last;
  }
  return result;
}
