import { quantile as quantileOf } from 'simple-statistics';

/** 1/Φ⁻¹(0.75): makes the median absolute deviation of normal data estimate their standard deviation. */
export const MAD_TO_SIGMA = 1.482602218505602;

/**
 * The p-quantile (0 <= p <= 1), interpolated linearly between order statistics (the 'type 7' rule).
 * An empty series, or one with a NaN in it, gives NaN.
 */
export function quantile(values: ArrayLike<number>, p: number): number {
  if (values.length === 0) return Number.NaN;
  const own = new Float64Array(values);
  for (let i = 0; i < own.length; i++) if (Number.isNaN(own[i] as number)) return Number.NaN;
  // simple-statistics declares plain arrays but takes typed ones, on which it is several times faster.
  return quantileOf(own as unknown as number[], p);
}

/** The median. An empty series, or one with a NaN in it, gives NaN. */
export function median(values: ArrayLike<number>): number {
  return quantile(values, 0.5);
}

/**
 * Median absolute deviation from the median, times `scale`; with the default it estimates σ of normal data,
 * with 1 it is the raw MAD. Zero when more than half of the values are equal. NaN as for `median`.
 */
export function medianAbsoluteDeviation(values: ArrayLike<number>, scale: number = MAD_TO_SIGMA): number {
  const centre = median(values);
  const away = new Float64Array(values);
  for (let i = 0; i < away.length; i++) away[i] = Math.abs((away[i] as number) - centre);
  return scale * median(away);
}

/** In how many pairs i <= j the mean of two sorted values is at most `limit`. */
function pairsUpTo(sorted: Float64Array, limit: number): number {
  let count = 0;
  let j = sorted.length - 1;
  for (let i = 0; i <= j; i++) {
    while (j >= i && ((sorted[i] as number) + (sorted[j] as number)) / 2 > limit) j--;
    count += j - i + 1;
  }
  return count;
}

/** The pair means in (low, high], sorted. */
function pairMeansBetween(sorted: Float64Array, low: number, high: number): Float64Array {
  const found: number[] = [];
  let from = sorted.length;
  for (let i = 0; i < sorted.length; i++) {
    const here = sorted[i] as number;
    while (from > i && (here + (sorted[from - 1] as number)) / 2 > low) from--;
    for (let j = Math.max(i, from); j < sorted.length; j++) {
      const mean = (here + (sorted[j] as number)) / 2;
      if (mean > high) break;
      if (mean > low) found.push(mean);
    }
  }
  return Float64Array.from(found).sort();
}

/** The rank-th smallest (from 1) pair mean: the bracket around it is halved until few are left to sort. */
function pairMeanAtRank(sorted: Float64Array, rank: number): number {
  const least = sorted[0] as number;
  let low = least - 1 - Math.abs(least);
  let below = 0;
  let high = sorted[sorted.length - 1] as number;
  let upTo = (sorted.length * (sorted.length + 1)) / 2;
  while (upTo - below > 2000) {
    const middle = low + (high - low) / 2;
    if (middle <= low || middle >= high) return high;
    const count = pairsUpTo(sorted, middle);
    if (count >= rank) {
      high = middle;
      upTo = count;
    } else {
      low = middle;
      below = count;
    }
  }
  return pairMeansBetween(sorted, low, high)[rank - 1 - below] as number;
}

/**
 * Hodges and Lehmann's location: the median of all pair means (x_i + x_j)/2, i <= j. 95 % efficient for normal data,
 * breaks down at 29 % contamination. Exact without ever holding the n²/2 means. NaN as for `median`.
 */
export function hodgesLehmann(values: ArrayLike<number>): number {
  const sorted = new Float64Array(values).sort();
  const n = sorted.length;
  if (n === 0 || Number.isNaN(sorted[n - 1] as number)) return Number.NaN;
  const pairs = (n * (n + 1)) / 2;
  const upper = pairMeanAtRank(sorted, Math.floor(pairs / 2) + 1);
  return pairs % 2 === 1 ? upper : (pairMeanAtRank(sorted, pairs / 2) + upper) / 2;
}

export interface AlgorithmAOptions {
  readonly iterations?: number;
  /** Stops when location and scale both move by less than this share of the scale. */
  readonly tolerance?: number;
  /** Least believable standard deviation of one value. */
  readonly floor?: number;
}

export interface RobustMoments {
  readonly location: number;
  readonly scale: number;
  readonly iterations: number;
}

/**
 * Algorithm A of ISO 13528 / ISO 5725-5 (Huber's proposal 2): mean and standard deviation of values pulled in to
 * location ± 1.5·scale, repeated. The scale settles slowly, so a comparison must name its stopping rule.
 * Needs two values; NaN as for `median`.
 */
export function algorithmA(values: ArrayLike<number>, options: AlgorithmAOptions = {}): RobustMoments {
  const { iterations: most = 200, tolerance = 1e-12, floor = 0 } = options;
  const n = values.length;
  let location = median(values);
  let scale = Math.max(medianAbsoluteDeviation(values, 1.483), floor);
  let iterations = 0;
  if (n < 2 || Number.isNaN(location)) return { location, scale: Number.NaN, iterations };
  const pulled = new Float64Array(n);
  while (iterations < most && scale > 0) {
    iterations++;
    let sum = 0;
    for (let i = 0; i < n; i++) {
      const value = Math.min(Math.max(values[i] as number, location - 1.5 * scale), location + 1.5 * scale);
      pulled[i] = value;
      sum += value;
    }
    const mean = sum / n;
    let squares = 0;
    for (let i = 0; i < n; i++) squares += ((pulled[i] as number) - mean) ** 2;
    const spread = Math.max(1.134 * Math.sqrt(squares / (n - 1)), floor);
    const settled = Math.abs(mean - location) <= tolerance * scale && Math.abs(spread - scale) <= tolerance * scale;
    location = mean;
    scale = spread;
    if (settled) break;
  }
  return { location, scale, iterations };
}
