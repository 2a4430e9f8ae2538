import type { Span } from '../../../shared/span.ts';
import { median } from '../../series/robust.ts';
import { joinSpans } from '../../series/spans.ts';
import type { CountTrack } from '../rate/count-track.ts';
import type { TankTrack } from '../scale/tank-track.ts';

/** s of steady feeding after which the counts must follow: the longest transport delay (trade.md d.2). */
const SETTLED = 12;
/** s over which counts and turns are compared. */
const WINDOW = 5;

export interface Silence extends Span {
  /** From full flow to nothing at all within a second. */
  readonly isCutOff: boolean;
}

/** Stretches in which the runs together count far less per turn than usual, although the meter has been feeding for a while. */
export function countStops({ runs, alone }: CountTrack, { feed }: TankTrack, share: number, shortest: number): readonly Silence[] {
  if (feed === undefined) return [];
  const total = totalOf(runs, feed.length);
  const usual = usualCounts(total, feed, alone);
  if (usual === undefined) return [];
  const spans: Span[] = [];
  let fedFor = 0;
  for (let k = 0; k < feed.length; k++) {
    fedFor = alone[k] === 1 ? fedFor + 1 : 0;
    if (fedFor < SETTLED) continue;
    let counts = 0;
    let turns = 0;
    for (let j = k - WINDOW + 1; j <= k; j++) {
      counts += total[j] as number;
      turns += feed[j] as number;
    }
    if (counts < share * usual * turns) spans.push({ start: k - WINDOW + 1, end: k + 1 });
  }
  return joinSpans(spans, 2 * SETTLED).filter(({ start, end }) => end - start >= shortest + WINDOW)
    .map(({ start, end }) => ({ start: start + WINDOW / 2, end: end - WINDOW / 2 }))
    .map((span) => ({ ...span, isCutOff: isCutOff(total, feed, usual, span.start) }));
}

/** Sensors that lose their supply; seed thins out over seconds, tower by tower. */
function isCutOff(total: Float64Array, feed: Float64Array, usual: number, start: number): boolean {
  const share = (k: number): number => (total[k] as number) / (usual * (feed[k] as number));
  for (let k = Math.max(1, Math.floor(start) - WINDOW); k <= start + WINDOW; k++) {
    if (share(k - 1) > 0.6 && [0, 1, 2].every((later) => total[k + later] === 0)) return true;
  }
  return false;
}

/** Sum over the runs per second; NaN where fewer than half of them are known. */
function totalOf(runs: readonly Float64Array[], length: number): Float64Array {
  const total = new Float64Array(length);
  for (let k = 0; k < length; k++) {
    let known = 0;
    let sum = 0;
    for (const run of runs) {
      const value = run[k] as number;
      if (!Number.isFinite(value)) continue;
      known++;
      sum += value;
    }
    total[k] = known >= runs.length / 2 ? (sum * runs.length) / known : Number.NaN;
  }
  return total;
}

/** Counts per turn of all runs together, the median over minutes. */
function usualCounts(total: Float64Array, feed: Float64Array, alone: Uint8Array): number | undefined {
  const ratios: number[] = [];
  for (let from = 0; from + 60 <= total.length; from += 60) {
    let counts = 0;
    let turns = 0;
    let seconds = 0;
    for (let k = from; k < from + 60; k++) {
      if (alone[k] !== 1 || !Number.isFinite(total[k] as number)) continue;
      counts += total[k] as number;
      turns += feed[k] as number;
      seconds++;
    }
    if (seconds >= 40) ratios.push(counts / turns);
  }
  return ratios.length < 3 ? undefined : median(ratios);
}
