import type { Span } from '../../../shared/span.ts';
import type { FlowLog } from './flow-log.ts';
import { spanOf } from './run-episodes.ts';
import type { DrillRuns } from './tower-runs.ts';

/** One run that showed nothing for a stretch. */
export interface Silence extends Span {
  /** Index of the tower, and of the run in it. */
  readonly tower: number;
  readonly index: number;
  /** Machine number. */
  readonly number: number;
  readonly from: number;
  readonly to: number;
  readonly missing: boolean;
}

/** Runs with consecutive numbers that fell silent and came back together. */
export interface SilentBlock extends Span {
  readonly members: readonly Silence[];
}

/** s; the runs of different towers open at different moments. */
const TOGETHER = 12;
const FEWEST = 3;
/** s; shorter ones say nothing (common practice, no source). */
const SHORTEST = 10;
/** More of the drill than this silent at once is the log or the drill, not a branch. */
const MOST_OF_DRILL = 0.7;

export function silencesOf(log: FlowLog, drill: DrillRuns): readonly Silence[] {
  return drill.towers.flatMap(({ judged, runs }, tower) => runs.flatMap((run, index) => run.presence.vanished.map((stretch): Silence => {
    const plan = log.towers[tower];
    const span = plan === undefined ? { start: 0, end: 0 } : spanOf(judged.cells, log, plan, stretch.from, stretch.to);
    return { ...stretch, ...span, tower, index, number: log.runs[plan?.runs[index] ?? -1]?.number ?? 0 };
  })));
}

/**
 * A harness branch: at least three neighbours silent together that are not just one tower. A whole tower of zeros is a
 * plugged tower, a whole tower without any values is a branch after all.
 */
export function silentBlocks(log: FlowLog, drill: DrillRuns, silences: readonly Silence[]): readonly SilentBlock[] {
  const left = new Set(silences);
  const blocks: SilentBlock[] = [];
  const live = drill.towers.flatMap(({ runs }, tower) => runs.flatMap((run, index) => (run.presence.usual > 0 ? [log.runs[log.towers[tower]?.runs[index] ?? -1]?.number ?? 0] : [])));
  for (const seed of silences) {
    if (!left.has(seed)) continue;
    const together = silences.filter((other) => left.has(other) && Math.abs(other.start - seed.start) <= TOGETHER && Math.abs(other.end - seed.end) <= TOGETHER && other.missing === seed.missing);
    const members = neighboursOf(seed, together, live);
    for (const member of members) left.delete(member);
    const longest = Math.max(...members.map(({ from, to }) => to - from)) * log.step;
    if (members.length < FEWEST || longest < SHORTEST || members.length > MOST_OF_DRILL * live.length || isWholeTowers(members, drill)) continue;
    blocks.push({ members, start: Math.min(...members.map(({ start }) => start)), end: Math.max(...members.map(({ end }) => end)) });
  }
  return blocks;
}

/** Those that join the seed without a live run between them that went on. */
function neighboursOf(seed: Silence, together: readonly Silence[], live: readonly number[]): readonly Silence[] {
  const silent = new Map(together.map((silence) => [silence.number, silence]));
  const order = live.toSorted((a, b) => a - b);
  const at = order.indexOf(seed.number);
  let first = at;
  let last = at;
  while (first > 0 && silent.has(order[first - 1] as number)) first--;
  while (last + 1 < order.length && silent.has(order[last + 1] as number)) last++;
  return order.slice(first, last + 1).flatMap((number) => silent.get(number) ?? []);
}

function isWholeTowers(members: readonly Silence[], drill: DrillRuns): boolean {
  if (members.some(({ missing }) => missing)) return false;
  return [...new Set(members.map(({ tower }) => tower))].every((tower) => {
    const liveRuns = drill.towers[tower]?.runs.filter((run) => run.presence.usual > 0).length ?? 0;
    return members.filter((member) => member.tower === tower).length === liveRuns;
  });
}
