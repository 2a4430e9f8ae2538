import type { FittedClock } from './clock-line.ts';
import { matchClocks, type MatchOptions, type Undecided } from './clock-match.ts';
import { stepsAtGaps, type LogGap } from './clock-steps.ts';
import type { Trace, TracePair } from './shared-signal.ts';

/** A part of a log, between gaps over which its clock was set, with what was found for it. Logged seconds. */
export interface ClockPiece {
  readonly first: number;
  readonly last: number;
  /** Undefined where nothing can be told: its neighbour's serves. */
  readonly fit: FittedClock | undefined;
}

/** s; shorter gaps are not looked at when no single line fits the whole. */
const TELLING_GAP = 60;
const MOST_GAPS = 12;

/** `pair.a` on the day's clock, `pair.b` as logged with its log's gaps. */
export function clockPieces({ a, b }: TracePair, gaps: readonly LogGap[], options: MatchOptions): readonly ClockPiece[] | Undecided {
  const first = b.time[0] as number;
  const last = b.time[b.time.length - 1] as number;
  const whole = matchClocks(a, b, first, options);
  const steps = stepsAtGaps(whole.rough, gaps);
  if (steps.length === 0 && whole.fit !== undefined) return [{ first, last, fit: whole.fit }];
  const cuts = steps.length > 0 ? steps : gaps.filter(({ start, end }) => end - start >= TELLING_GAP).toSorted((x, y) => y.end - y.start - (x.end - x.start)).slice(0, MOST_GAPS).sort((x, y) => x.start - y.start);
  if (cuts.length === 0) return whole.why ?? 'unlike';
  const pieces = [...cuts, { start: last, end: last }].map((cut, k) => {
    const from = k === 0 ? first : (cuts[k - 1] as LogGap).end;
    const part = between(b, from, cut.start);
    return { first: from, last: cut.start, fit: part === undefined ? undefined : matchClocks(a, part, from, options).fit };
  });
  return pieces.some(({ fit }) => fit !== undefined) ? pieces : (whole.why ?? 'unlike');
}

function between(trace: Trace, from: number, to: number): Trace | undefined {
  const low = trace.time.findIndex((t) => t >= from);
  const high = trace.time.findLastIndex((t) => t <= to);
  return low < 0 || high - low < 1 ? undefined : { ...trace, time: trace.time.subarray(low, high + 1), value: trace.value.subarray(low, high + 1) };
}
