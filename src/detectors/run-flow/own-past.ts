import { optimalPartition } from '../../series/change-point.ts';
import { median } from '../../series/robust.ts';
import type { RunLevels } from './run-levels.ts';
import { medianOfKnown } from './typed-median.ts';

/** The level of one run when it is right: what its own past says, on the scale ln(run ÷ tower). */
export interface OwnPast {
  readonly level: number;
  /** Standard uncertainty of the level. */
  readonly uncertainty: number;
  /** Whether the day began on this level. */
  readonly sinceStart: boolean;
}

/** Windows (of about a minute) in the shortest level. */
const SHORTEST = 3;
/** Levels closer than this are one level. */
const SAME = 0.05;
/** How much likelier the first level of the day is the right one: only a first level far outside the drill's spread (a fault since the start) is overruled. */
const FIRST_LEVEL_BONUS = 3;
/** Least believable row-to-row spread, so that an even drill does not call its second-best run a fault. */
const LEAST_SPREAD = 0.05;

/** Robust row-to-row spread of a drill, from the middle level of each run. */
export function healthySpread(levels: readonly RunLevels[]): number {
  const middles = levels.flatMap(({ ratio }) => ratio.map(medianOfKnown)).filter((value) => !Number.isNaN(value));
  return Math.max(LEAST_SPREAD, 1.4826 * median(middles.map(Math.abs)));
}

/**
 * Splits a run's windows into levels and picks the one to measure it by. A plain median of the day would take a fault that
 * lasts longer than half of it for the rule; so levels are weighed by how well they fit the drill's spread, how long
 * they last, and whether they came first.
 */
export function ownPast(ratio: Float64Array, scatter: number, spread: number): OwnPast | undefined {
  const known = ratio.filter((value) => !Number.isNaN(value));
  if (known.length === 0) return undefined;
  const sigma = Math.max(scatter, 0.005) || 0.02;
  if (isLevel(known, sigma)) return { level: median(known), uncertainty: (1.2533 * sigma) / Math.sqrt(known.length), sinceStart: true };
  const penalty = Math.max(4 * sigma * sigma * Math.log(Math.max(3, known.length)), 0.0125);
  const { breaks } = optimalPartition(known, { penalty, minimumLength: SHORTEST });
  const edges = [0, ...breaks, known.length];
  const levels = edges.slice(1).map((to, k) => {
    const values = known.subarray(edges[k] as number, to);
    return { level: median(values), count: values.length };
  });
  const scored = levels.map(({ level }, k) => {
    const alike = levels.filter((other) => Math.abs(other.level - level) < SAME).reduce((sum, other) => sum + other.count, 0);
    const misfit = (level / spread) ** 2 / 2;
    return { level, score: -misfit + Math.log(alike / known.length) + (k === 0 ? FIRST_LEVEL_BONUS : 0) };
  });
  const best = scored.reduce((a, b) => (b.score > a.score ? b : a));
  const alike = levels.flatMap(({ level }, k) => (Math.abs(level - best.level) < SAME ? [...known.subarray(edges[k] as number, edges[k + 1])] : []));
  return {
    level: median(alike),
    uncertainty: (1.2533 * sigma) / Math.sqrt(alike.length),
    sinceStart: Math.abs((levels[0]?.level ?? best.level) - best.level) < SAME,
  };
}

/** Range of the cumulative sum about the median below 2.5 σ√n, which a series without a shift exceeds about once in 10⁴ (Kuiper): most runs need no search for one. */
function isLevel(values: Float64Array, sigma: number): boolean {
  const centre = median(values);
  const limit = 2.5 * sigma * Math.sqrt(values.length);
  let sum = 0;
  let low = 0;
  let high = 0;
  for (const value of values) {
    sum += value - centre;
    low = Math.min(low, sum);
    high = Math.max(high, sum);
  }
  return high - low < limit;
}
