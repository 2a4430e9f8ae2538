/** Judged entries `from` to `to` (exclusive) in which a run's counts hardly varied. */
export interface StuckStretch {
  readonly from: number;
  readonly to: number;
  /** Mean count per cell. */
  readonly value: number;
  /** Variance ÷ mean there. */
  readonly dispersion: number;
}

const WINDOW = 30;
/** Counts per cell below which a constant value is no wonder. */
const LEAST_MEAN = 3;
const LEAST_WINDOWS = 2;
/** Thirty cells of live counts fall below this share of their usual dispersion with p < 10⁻⁹ (chi-square, 29 degrees of freedom). */
const STUCK_SHARE = 0.15;

/** Stretches of at least a minute in which one run's variance is far below that of its kind (`usualDispersion`, variance ÷ mean). */
export function stuckStretches(counts: Float32Array, usualDispersion: number, step: number): readonly StuckStretch[] {
  const limit = STUCK_SHARE * usualDispersion;
  const stretches: StuckStretch[] = [];
  const least = Math.max(LEAST_WINDOWS, Math.ceil(60 / step / WINDOW));
  let from = -1;
  for (let start = 0; start <= counts.length; start += WINDOW) {
    const isStuck = start + WINDOW <= counts.length && isFlat(counts, start, limit);
    if (isStuck && from < 0) from = start;
    if (!isStuck && from >= 0) {
      if ((start - from) / WINDOW >= least) stretches.push(grown(counts, from, start));
      from = -1;
    }
  }
  return stretches;
}

function isFlat(counts: Float32Array, start: number, limit: number): boolean {
  const { mean, variance } = momentsOf(counts, start, start + WINDOW);
  return mean >= LEAST_MEAN && variance <= limit * mean;
}

/** To both sides as far as the value stays what it is. */
function grown(counts: Float32Array, from: number, to: number): StuckStretch {
  const { mean, variance } = momentsOf(counts, from, to);
  const reach = 0.5 + 3 * Math.sqrt(variance);
  let first = from;
  let after = to;
  while (first > 0 && Math.abs((counts[first - 1] as number) - mean) <= reach) first--;
  while (after < counts.length && Math.abs((counts[after] as number) - mean) <= reach) after++;
  return { from: first, to: after, value: mean, dispersion: variance / mean };
}

function momentsOf(counts: Float32Array, from: number, to: number): { readonly mean: number; readonly variance: number } {
  let sum = 0;
  let squares = 0;
  const origin = counts[from] as number;
  for (let j = from; j < to; j++) {
    const away = (counts[j] as number) - origin;
    sum += away;
    squares += away * away;
  }
  const n = to - from;
  return { mean: origin + sum / n, variance: Math.max(0, (squares - (sum * sum) / n) / (n - 1)) };
}
