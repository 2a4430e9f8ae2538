import type { Span } from '../../../shared/span.ts';
import type { FlowLog } from './flow-log.ts';
import { medianInPlace } from './typed-median.ts';

/** Counts of one run while its tower was commanded off. */
export interface GhostCounts {
  readonly tower: number;
  readonly index: number;
  readonly number: number;
  readonly perSecond: number;
  /** The drill's usual run at such moments, counts per second. */
  readonly usual: number;
  readonly seconds: number;
  /** s after the command from which they were counted. */
  readonly after: number;
  readonly spans: readonly Span[];
}

/** s after a stop in which seed may still arrive: transport and tail (trade.md d.2), doubled. */
const TAIL = 12;
const LEAST_SECONDS = 120;
/** Counts per second, and how many times the usual run, that cannot be stray seeds. */
const LEAST_RATE = 1;
const TIMES_USUAL = 5;

/** Runs that count where nothing is metered. Product that runs on shows on all runs and is not theirs. */
export function ghostCounts(log: FlowLog): readonly GhostCounts[] {
  const closed = log.towers.map(({ open }) => closedCells(open, log.step));
  const rates = log.towers.flatMap((tower, t) => tower.runs.map((run, index) => {
    const counts = log.runs[run]?.counts ?? new Float64Array(0);
    const shut = closed[t] ?? new Uint8Array(0);
    let sum = 0;
    let cells = 0;
    let counting = 0;
    for (let k = 0; k < counts.length; k++) {
      const count = counts[k] as number;
      if (shut[k] !== 1 || Number.isNaN(count)) continue;
      sum += count;
      if (count > 0) counting++;
      cells++;
    }
    return { tower: t, index, number: log.runs[run]?.number ?? 0, counts, shut, cells, counting, perSecond: cells === 0 ? 0 : sum / cells / log.step };
  }));
  const usual = medianInPlace(Float64Array.from(rates, ({ perSecond }) => perSecond));
  return rates.flatMap(({ counts, shut, cells, counting, ...rate }): GhostCounts[] => {
    if (cells * log.step < LEAST_SECONDS || counting < 0.2 * cells || rate.perSecond < LEAST_RATE || rate.perSecond < TIMES_USUAL * usual) return [];
    return [{ ...rate, usual, seconds: cells * log.step, after: TAIL, spans: countingSpans(counts, shut, log.step) }];
  });
}

/** Closed for longer than the tail. */
function closedCells(open: Uint8Array, step: number): Uint8Array {
  const shut = new Uint8Array(open.length);
  let since = TAIL + step;
  for (let k = 0; k < open.length; k++) {
    since = open[k] === 1 ? 0 : since + step;
    shut[k] = since > TAIL ? 1 : 0;
  }
  return shut;
}

/** Closed stretches of at least 10 s in which it counted. */
function countingSpans(counts: Float64Array, shut: Uint8Array, step: number): readonly Span[] {
  const spans: Span[] = [];
  let from = -1;
  let sum = 0;
  for (let k = 0; k <= counts.length; k++) {
    const inside = k < counts.length && shut[k] === 1;
    if (inside && from < 0) {
      from = k;
      sum = 0;
    }
    if (inside && (counts[k] as number) > 0) sum += counts[k] as number;
    if (!inside && from >= 0) {
      if (sum > 0 && (k - from) * step >= 10) spans.push({ start: from * step, end: k * step });
      from = -1;
    }
  }
  return spans;
}
