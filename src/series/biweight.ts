import { MAD_TO_SIGMA } from './robust.ts';

export interface BiweightOptions {
  /** Values further than c robust standard deviations from the centre count nothing; 4.685 is 95 % efficient. */
  readonly c?: number;
  /** Least believable standard deviation of one value, e.g. q/√12 for values rounded to q. */
  readonly floor?: number;
}

/** The centre has settled when it moves by less than this share of the scale. */
const SETTLED = 1e-10;
const MOST_ROUNDS = 200;

/**
 * Tukey's biweight location: the weighted mean with weights (1 - (d/(c·s))²)², iterated from the median with
 * s = max(MAD, floor) held. With s = 0 the median is returned. An empty series, or one with a NaN in it, gives NaN.
 */
export function biweightLocation(values: ArrayLike<number>, options: BiweightOptions = {}): number {
  const sorted = new Float64Array(values).sort();
  return locationOf(sorted, new Uint32Array(sorted.length).fill(1), options);
}

/**
 * The biweight location of all values of the units asked for, by their indices, some twice: the same as
 * `biweightLocation` of those values put together. Resampling then needs no sorting: values are put in order once and
 * counted as often as their unit was drawn.
 */
export function biweightOfUnits(units: readonly ArrayLike<number>[]): (indices: ArrayLike<number>) => number {
  const all = units.flatMap((unit, u) => Array.from(unit, (value) => ({ value, u }))).toSorted((a, b) => a.value - b.value);
  const sorted = Float64Array.from(all, ({ value }) => value);
  const unitOf = Uint32Array.from(all, ({ u }) => u);
  const drawn = new Uint32Array(units.length);
  const times = new Uint32Array(sorted.length);
  return (indices) => {
    drawn.fill(0);
    for (let i = 0; i < indices.length; i++) drawn[indices[i] as number] = (drawn[indices[i] as number] as number) + 1;
    for (let i = 0; i < times.length; i++) times[i] = drawn[unitOf[i] as number] as number;
    return locationOf(sorted, times, {});
  };
}

/** Of values in order (NaN last), each counted so many times. */
function locationOf(sorted: Float64Array, times: Uint32Array, { c = 4.685, floor = 0 }: BiweightOptions): number {
  let count = 0;
  for (let i = 0; i < times.length; i++) count += times[i] as number;
  if (count === 0 || Number.isNaN(sorted[sorted.length - 1] as number)) return Number.NaN;
  let centre = medianOf(sorted, times, count);
  const scale = Math.max(MAD_TO_SIGMA * deviationOf(sorted, times, count, centre), floor);
  if (!(scale > 0)) return centre;
  const reach = c * scale;
  for (let round = 0; round < MOST_ROUNDS; round++) {
    let weights = 0;
    let moved = 0;
    for (let i = 0; i < sorted.length; i++) {
      const away = (sorted[i] as number) - centre;
      const u = away / reach;
      if (u <= -1) continue;
      if (u >= 1) break;
      const weight = (times[i] as number) * (1 - u * u) * (1 - u * u);
      weights += weight;
      moved += weight * away;
    }
    if (weights === 0) return centre;
    centre += moved / weights;
    if (Math.abs(moved / weights) <= SETTLED * scale) break;
  }
  return centre;
}

/** The middle one, or the mean of the middle two. */
function medianOf(sorted: Float64Array, times: Uint32Array, count: number): number {
  let before = 0;
  let i = -1;
  while (before <= (count - 1) >> 1) before += times[++i] as number;
  const lower = sorted[i] as number;
  while (before <= count >> 1) before += times[++i] as number;
  return (lower + (sorted[i] as number)) / 2;
}

/** Median distance from the centre, by going outwards from it on both sides. */
function deviationOf(sorted: Float64Array, times: Uint32Array, count: number, centre: number): number {
  let right = 0;
  while (right < sorted.length && (sorted[right] as number) < centre) right++;
  let left = right - 1;
  let before = 0;
  let away = 0;
  const reachRank = (rank: number): number => {
    while (before <= rank) {
      const toLeft = left < 0 ? Infinity : centre - (sorted[left] as number);
      const toRight = right === sorted.length ? Infinity : (sorted[right] as number) - centre;
      away = Math.min(toLeft, toRight);
      before += times[toLeft <= toRight ? left-- : right++] as number;
    }
    return away;
  };
  return (reachRank((count - 1) >> 1) + reachRank(count >> 1)) / 2;
}
