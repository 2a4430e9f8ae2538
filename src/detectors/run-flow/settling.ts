import { median } from '../../series/robust.ts';
import type { FlowLog, FlowTower } from './flow-log.ts';

/** s; 1.5–5.5 s transport and 0.5–1.5 s rise (trade.md d.2) when the day has too few entries to learn from. */
const UNLEARNED = 8;
const LONGEST = 14;
/** Entries needed, and how long each has to run on to show its own steady flow, s. */
const FEWEST_ENTRIES = 3;
const STEADY_FROM = 16;
const STEADY_TO = 30;
const SETTLED_SHARE = 0.96;

/**
 * Seconds from command to steady flow of one tower: where the median over its entries of flow ÷ (flow 16–30 s later)
 * has come up to 96 % for good, and one cell more.
 */
export function settlingTime(log: FlowLog, tower: FlowTower): number {
  const { step } = log;
  const first = Math.ceil(STEADY_FROM / step);
  const last = Math.floor(STEADY_TO / step);
  if (last <= first) return Math.max(UNLEARNED, 2 * step);
  const entries: Float64Array[] = [];
  for (let k = 1; k + last < log.cells; k++) {
    if (tower.open[k] !== 1 || tower.open[k - 1] !== 0 || (tower.openFor[k + last] as number) < STEADY_TO) continue;
    const flow = Float64Array.from({ length: last + 1 }, (_, age) => towerSum(log, tower, k + age));
    const steady = median(flow.subarray(first));
    if (steady > 0) entries.push(flow.map((sum) => sum / steady));
  }
  if (entries.length < FEWEST_ENTRIES) return Math.max(UNLEARNED, 2 * step);
  let age = Math.ceil(LONGEST / step);
  while (age > 0 && medianAt(entries, age - 1) >= SETTLED_SHARE) age--;
  return Math.min(LONGEST, (age + 1) * step);
}

const medianAt = (entries: readonly Float64Array[], age: number): number => median(entries.map((flow) => flow[age] ?? 1));

/** Counts of all runs of a tower in one cell; runs without a value there count nothing. */
export function towerSum(log: FlowLog, tower: FlowTower, cell: number): number {
  let sum = 0;
  for (const run of tower.runs) {
    const count = log.runs[run]?.counts[cell] as number;
    if (!Number.isNaN(count)) sum += count;
  }
  return sum;
}
