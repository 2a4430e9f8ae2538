import { median } from './robust.ts';

export interface PartitionOptions {
  /** Cost of one more segment, in squared units of the values: at least 2·σ²·ln n, times (1 + r)/(1 - r). */
  readonly penalty: number;
  /** Fewest values in a segment; default 2. */
  readonly minimumLength?: number;
}

export interface Partition {
  /** First index of each segment but the first. */
  readonly breaks: readonly number[];
  /** Mean of each segment, one more than breaks. */
  readonly means: readonly number[];
  /** Sum of squared residuals, penalties not included. */
  readonly cost: number;
}

/**
 * The best piecewise-constant fit: least squared residuals plus a penalty per break, over all partitions. Exact (optimal
 * partitioning), with the pruning of PELT (Killick et al. 2012), which makes it about linear when breaks
 * keep coming and n² steps when none do: for up to some thousand windows.
 * Finite values. A series shorter than two minimum lengths is one segment.
 */
export function optimalPartition(values: ArrayLike<number>, options: PartitionOptions): Partition {
  const { penalty, minimumLength = 2 } = options;
  const n = values.length;
  const centre = n > 0 ? median(values) : 0;
  const sums = new Float64Array(n + 1);
  const squares = new Float64Array(n + 1);
  for (let i = 0; i < n; i++) {
    const x = (values[i] as number) - centre;
    sums[i + 1] = (sums[i] as number) + x;
    squares[i + 1] = (squares[i] as number) + x * x;
  }
  const costOf = (from: number, to: number): number => {
    const sum = (sums[to] as number) - (sums[from] as number);
    return Math.max(0, (squares[to] as number) - (squares[from] as number) - (sum * sum) / (to - from));
  };
  const best = new Float64Array(n + 1).fill(Infinity);
  const previous = new Int32Array(n + 1);
  best[0] = -penalty;
  const candidates = new Int32Array(n + 1);
  const costs = new Float64Array(n + 1);
  // When a start stops being worth trying; Infinity while it is.
  const useless = new Float64Array(n + 1).fill(Infinity);
  let count = 1;
  for (let end = minimumLength; end <= n; end++) {
    let least = Infinity;
    for (let c = 0; c < count; c++) {
      const from = candidates[c] as number;
      const cost = (best[from] as number) + costOf(from, end);
      costs[c] = cost;
      if (cost < least) {
        least = cost;
        previous[end] = from;
      }
    }
    least += penalty;
    best[end] = least;
    // A start that loses to a break here even without paying for it always will, as squared residuals only grow;
    // but only once a segment beginning here is long enough to be allowed.
    let kept = 0;
    for (let c = 0; c < count; c++) {
      const from = candidates[c] as number;
      if ((costs[c] as number) > least && useless[from] === Infinity) useless[from] = end + minimumLength;
      if ((useless[from] as number) > end + 1) candidates[kept++] = from;
    }
    count = kept;
    const next = end + 1 - minimumLength;
    if (next >= minimumLength) candidates[count++] = next;
  }
  const breaks: number[] = [];
  for (let end = n; end > 0 && (previous[end] as number) > 0; end = previous[end] as number) breaks.unshift(previous[end] as number);
  const edges = [0, ...breaks, n];
  const segments = edges.slice(1).map((to, k) => ({ from: edges[k] as number, to }));
  return {
    breaks,
    means: segments.map(({ from, to }) => centre + ((sums[to] as number) - (sums[from] as number)) / (to - from)),
    cost: n > 0 ? segments.reduce((total, { from, to }) => total + costOf(from, to), 0) : 0,
  };
}
