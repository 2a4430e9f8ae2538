import type { FlowLog } from './flow-log.ts';
import { redistributionTest, type FlowWindow, type RedistributionTest } from './redistribution.ts';
import type { FlowEpisode } from './run-episodes.ts';
import type { TowerFlow } from './tower-flow.ts';
import type { TowerRuns } from './tower-runs.ts';

/** A run's part in its tower and when it was off, for the conservation test. */
export interface Suspect {
  /** Index in its tower. */
  readonly index: number;
  readonly episodes: readonly FlowEpisode[];
}

/** s looked at on either side of each begin and end: towers drift against each other, so as near as the counts allow. */
const HORIZONS = [600, 2400, 7200] as const;
/** Half-width of the interval at which nearer is near enough. */
const SHARP_ENOUGH = 0.25;
const LONGEST_WINDOW = 60;
const SHORTEST_WINDOW = 10;

export interface MatesQuestion {
  readonly log: FlowLog;
  readonly tower: TowerRuns;
  readonly flow: TowerFlow;
  /** Outlets that share the tower's flow. */
  readonly outlets: number;
  /** Runs that were off together are asked about together. */
  readonly suspects: readonly Suspect[];
  /** Others of the tower that were off at other times. */
  readonly others: readonly Suspect[];
  /** The loss grew slowly: only the whole stretch can tell. */
  readonly slow: boolean;
}

/** Did the mates take up what the suspects lost? */
export function matesTest(question: MatesQuestion): RedistributionTest {
  const windows = flowWindows(question);
  const edges = question.suspects.flatMap(({ episodes }) => episodes.flatMap(({ from, to }) => [from, to]))
    .map((entry) => (question.tower.judged.cells[Math.min(entry, question.tower.judged.cells.length - 1)] as number) * question.log.step);
  const far = HORIZONS[2];
  if (question.slow) return redistributionTest(windows.filter(({ time }) => edges.some((edge) => Math.abs(time - edge) <= far) || (time > Math.min(...edges) && time < Math.max(...edges))));
  let test: RedistributionTest | undefined;
  for (const horizon of HORIZONS) {
    const near = windows.filter(({ time }) => edges.some((edge) => Math.abs(time - edge) <= horizon));
    const next = redistributionTest(near, edges.length > 1 && near.some(({ time }) => Math.abs(time - (edges[0] as number)) > 2 * horizon) ? (time) => nearest(edges, time) : undefined);
    if (test === undefined || next.share.high - next.share.low < test.share.high - test.share.low) test = next;
    if (next.share.high - next.share.low <= 2 * SHARP_ENOUGH) return next;
  }
  return test ?? redistributionTest([]);
}

/** Index of the edge nearest in time, for a level of its own around each. */
function nearest(edges: readonly number[], time: number): number {
  let best = 0;
  for (const [i, edge] of edges.entries()) if (Math.abs(edge - time) < Math.abs((edges[best] as number) - time)) best = i;
  return best;
}

function flowWindows({ log, tower, flow, outlets, suspects, others }: MatesQuestion): readonly FlowWindow[] {
  const out = new Set([...suspects, ...others].map(({ index }) => index));
  const episodes = suspects.flatMap((suspect) => suspect.episodes);
  const longest = Math.max(...episodes.map((episode) => episode.judgedSeconds));
  const width = Math.max(1, Math.round(Math.min(LONGEST_WINDOW, Math.max(SHORTEST_WINDOW, longest / 8)) / log.step));
  const reach = HORIZONS[2] / log.step;
  const first = Math.max(0, Math.min(...episodes.map(({ from }) => from)) - reach);
  const last = Math.min(tower.judged.cells.length, Math.max(...episodes.map(({ to }) => to)) + reach);
  const mates = tower.runs.flatMap((run, i) => (out.has(i) || !(run.gain > 0) ? [] : [{ run, counts: tower.judged.counts[i] as Float32Array }]));
  const total = tower.runs.reduce((sum, run) => sum + (run.gain > 0 ? run.gain : 0), 0) + Math.max(0, outlets - tower.runs.length);
  const rising = episodes.some(({ kind }) => kind === 'high');
  const windows: FlowWindow[] = [];
  for (let from = Math.round(first); from + width <= last; from += width) {
    let own = 0;
    let due = 0;
    for (let j = from; j < from + width; j++) {
      const level = flow.others[tower.judged.cells[j] as number] as number;
      if (Number.isNaN(level)) continue;
      let sum = 0;
      let gain = 0;
      for (const { run, counts } of mates) {
        if (run.usable[j] !== 1) continue;
        sum += counts[j] as number;
        gain += run.gain;
      }
      if (gain === 0) continue;
      own += sum / gain;
      due += level;
    }
    if (!(own > 0) || !(due > 0)) continue;
    windows.push({
      time: (tower.judged.cells[from] as number) * log.step,
      mates: (rising ? -1 : 1) * Math.log(own / due),
      due: -Math.log1p(-lostShare(tower, suspects, from, from + width, total)),
      otherDue: -Math.log1p(-lostShare(tower, others, from, from + width, total)),
    });
  }
  return windows;
}

/** Share of the tower's flow that the suspects lacked (or had too much) in a window, 0–0.9. */
function lostShare(tower: TowerRuns, suspects: readonly Suspect[], from: number, to: number, total: number): number {
  let share = 0;
  for (const { index, episodes } of suspects) {
    const run = tower.runs[index];
    if (run === undefined) continue;
    let counts = 0;
    let expected = 0;
    let covered = 0;
    for (const episode of episodes) {
      for (let j = Math.max(from, episode.from); j < Math.min(to, episode.to); j++) {
        const count = run.counts[j] as number;
        const due = run.expected[j] as number;
        if (Number.isNaN(count + due)) continue;
        counts += count;
        expected += due;
        covered++;
      }
    }
    if (expected > 0) share += (Math.abs(1 - counts / expected) * run.gain * covered) / (total * (to - from));
  }
  return Math.min(0.9, share);
}
