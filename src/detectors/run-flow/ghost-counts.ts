import type { Span } from '../../../shared/span.ts';
import type { FlowLog } from './flow-log.ts';
import { medianInPlace } from './typed-median.ts';

/** Counts of one run while its tower was commanded off and the machine moved on. */
export interface GhostCounts {
  readonly tower: number;
  readonly index: number;
  readonly number: number;
  readonly perSecond: number;
  /** The drill's usual run in the same stretches, counts per second. */
  readonly usual: number;
  readonly seconds: number;
  /** s after the command from which they were counted. */
  readonly after: number;
  readonly spans: readonly Span[];
}

/** s after a stop in which seed may still arrive: transport and tail (trade.md d.2), doubled. */
const TAIL = 12;
/** m/s; a parked machine may have its fan off. */
const MOVING = 0.5;
const SHORTEST = 5;
/** Turns in which a run must have counted, and s in all. */
const FEWEST = 3;
const LEAST_SECONDS = 40;
/** Counts per second, and how many times the usual run, that cannot be stray seeds. */
const LEAST_RATE = 1;
const TIMES_USUAL = 5;

/** Runs that count where nothing is metered at all. Product that runs on shows on all runs and is not theirs. */
export function ghostCounts(log: FlowLog): readonly GhostCounts[] {
  const anyOpen = new Uint8Array(log.cells);
  for (const { open } of log.towers) for (let k = 0; k < log.cells; k++) if (open[k] === 1) anyOpen[k] = 1;
  const stretches = closedStretches(log, anyOpen);
  return log.towers.flatMap((tower, t) => {
    const rates = tower.runs.map((run) => stretches.map(({ from, to }) => rateIn(log.runs[run]?.counts, from, to, log.step)));
    const usual = stretches.map((_, s) => medianInPlace(Float64Array.from(rates, (rate) => rate[s] as number).filter((rate) => !Number.isNaN(rate))));
    return tower.runs.flatMap((run, index): GhostCounts[] => {
      const counting = stretches.flatMap(({ from, to }, s) => {
        const rate = rates[index]?.[s] as number;
        return rate >= LEAST_RATE && rate >= TIMES_USUAL * (usual[s] as number) ? [{ start: from * log.step, end: to * log.step, rate, usual: usual[s] as number }] : [];
      });
      const seconds = counting.reduce((sum, { start, end }) => sum + end - start, 0);
      if (counting.length < FEWEST || seconds < LEAST_SECONDS) return [];
      const mean = (of: (stretch: (typeof counting)[number]) => number): number => counting.reduce((sum, stretch) => sum + of(stretch) * (stretch.end - stretch.start), 0) / seconds;
      return [{
        tower: t, index, number: log.runs[run]?.number ?? 0, perSecond: mean(({ rate }) => rate), usual: mean((stretch) => stretch.usual),
        seconds, after: TAIL, spans: counting.map(({ start, end }) => ({ start, end })),
      }];
    });
  });
}

interface Stretch {
  readonly from: number;
  readonly to: number;
}

/** Closed for longer than the tail, and moving. */
function closedStretches({ step, speed, cells }: FlowLog, open: Uint8Array): readonly Stretch[] {
  const found: Stretch[] = [];
  let since = 0;
  let from = -1;
  for (let k = 0; k <= cells; k++) {
    since = k < cells && open[k] === 1 ? 0 : since + step;
    const counts = k < cells && since > TAIL && (speed[k] as number) > MOVING;
    if (counts && from < 0) from = k;
    if (!counts && from >= 0) {
      if ((k - from) * step >= SHORTEST) found.push({ from, to: k });
      from = -1;
    }
  }
  return found;
}

function rateIn(counts: Float64Array | undefined, from: number, to: number, step: number): number {
  let sum = 0;
  let cells = 0;
  for (let k = from; k < to; k++) {
    const count = counts?.[k] as number;
    if (counts === undefined || Number.isNaN(count)) continue;
    sum += count;
    cells++;
  }
  return cells === 0 ? Number.NaN : sum / cells / step;
}
