import type { Interval, Span } from '../../../shared/span.ts';
import { isNearCollapse } from './collapse.ts';
import { answersToOther } from './crossed-sections.ts';
import { flowRatio } from './dead-time.ts';
import { faultShape, type FaultShape } from './fault-shape.ts';
import { FLOW_LEVELS } from './flow-chart.ts';
import type { FlowLog } from './flow-log.ts';
import type { JudgedCells } from './judged-cells.ts';
import { matesTest, type Suspect } from './mates-flow.ts';
import type { RedistributionTest } from './redistribution.ts';
import type { Episodes } from '../../episodes/episodes.ts';
import { episodeOf, flowEpisodes, ratioOf, spanOf, type FlowEpisode } from './run-episodes.ts';
import type { Silence, SilentBlock } from './silences.ts';
import type { Thresholds } from './thresholds.ts';
import type { TowerFlow } from './tower-flow.ts';
import type { DrillRuns, JudgedRun, TowerRuns } from './tower-runs.ts';

export type CaseKind = 'blocked' | 'restricted' | 'high' | 'missing' | 'stuck';

/** What one run did out of line, all its stretches of a kind together. */
export interface RunCase {
  readonly kind: CaseKind;
  readonly tower: number;
  /** Index in its tower. */
  readonly index: number;
  readonly number: number;
  readonly episodes: readonly FlowEpisode[];
  /** Flow ÷ expected once settled; where the mates took up the loss, against what they would have shown without it. */
  readonly ratio: Interval;
  readonly shape: FaultShape;
  readonly judgedSeconds: number;
  /** It flowed normally again before the log ended. */
  readonly recovered: boolean;
  readonly test: RedistributionTest;
}

export interface DrillView {
  readonly context: { readonly episodes: Pick<Episodes, 'switches'> };
  readonly log: FlowLog;
  readonly judged: JudgedCells;
  readonly drill: DrillRuns;
  readonly towers: readonly TowerFlow[];
  readonly thresholds: Thresholds;
}

export function runCases(view: DrillView, blocks: readonly SilentBlock[], silences: readonly Silence[]): readonly RunCase[] {
  return view.log.towers.flatMap((_, tower) => {
    const found = (view.drill.towers[tower] as TowerRuns).runs.flatMap((run, index) => foundOf(view, run, tower, index, blocks, silences));
    return found.map((one) => tested(view, one, found));
  });
}

type Untested = Omit<RunCase, 'test'>;

function foundOf(view: DrillView, run: JudgedRun, tower: number, index: number, blocks: readonly SilentBlock[], silences: readonly Silence[]): readonly Untested[] {
  const { log, drill, thresholds: limits } = view;
  const { judged } = drill.towers[tower] as TowerRuns;
  const plan = log.towers[tower];
  if (plan === undefined) return [];
  const number = log.runs[plan.runs[index] as number]?.number ?? 0;
  const charted = { ...run, uncertainty: run.past?.uncertainty ?? 0.05 };
  const make = (kind: CaseKind, episodes: readonly FlowEpisode[]): Untested[] => {
    const first = episodes[0];
    if (first === undefined) return [];
    const shape = kind === 'restricted' ? faultShape(run, first) : { ...faultShape(run, first), kind: 'sudden' as const, from: first.from, settledFrom: first.from };
    const all = shape.from === first.from ? episodes : [{ ...first, from: shape.from, ...spanOf(judged.cells, log, plan, shape.from, first.to) }, ...episodes.slice(1)];
    const judgedSeconds = episodes.reduce((sum, episode) => sum + episode.judgedSeconds, 0);
    const last = episodes.at(-1) ?? first;
    return [{
      kind, tower, index, number, episodes: all, shape, judgedSeconds,
      ratio: settledRatio(run, kind, episodes, shape, log.step),
      recovered: last.to < judged.cells.length - 30,
    }];
  };

  const stuck = run.stuck.map(({ from, to }) => episodeOf(charted, judged.cells, log, plan, from, to, 'low'));
  const missing = silences.filter((silence) => silence.tower === tower && silence.index === index && silence.missing && (silence.to - silence.from) * log.step >= limits.shortestRestricted)
    .map(({ from, to }) => episodeOf(charted, judged.cells, log, plan, from, to, 'low'));
  const inBlocks = blocks.filter((block) => block.members.some((member) => member.tower === tower && member.index === index));
  const excused = [...stuck, ...missing, ...inBlocks, ...(view.towers[tower]?.episodes ?? [])];
  const own = (run.alarmed ? flowEpisodes(charted, judged.cells, log, plan) : [])
    .filter((episode) => isBigEnough(episode, limits) && !excused.some((other) => covers(other, episode)) && !(episode.judgedSeconds < limits.shortestRestricted && (isNearCollapse(view.judged.collapsed, episode, log.step) || answersToOther(view, tower, episode))));
  const low = own.filter(({ kind }) => kind === 'low');
  const blocked = low.filter((episode) => isBlocked(run, episode, limits, log.step));
  return [
    ...make('stuck', stuck),
    ...make('missing', missing.filter((episode) => !inBlocks.some((block) => covers(block, episode)))),
    ...make('blocked', blocked),
    ...make('restricted', low.filter((episode) => !blocked.includes(episode))),
    ...make('high', own.filter(({ kind }) => kind === 'high')),
  ];
}

function isBigEnough({ kind, ratio, judgedSeconds }: FlowEpisode, limits: Thresholds): boolean {
  if (kind === 'high') return ratio.low > 1 + limits.leastGain && judgedSeconds >= limits.shortestRestricted;
  const isDeep = ratio.high < 0.5;
  return ratio.high < 1 - limits.leastLoss && judgedSeconds >= (isDeep ? limits.shortestBlocked : limits.shortestRestricted);
}

const covers = (other: Span, episode: Span): boolean =>
  Math.min(other.end, episode.end) - Math.max(other.start, episode.start) > 0.5 * (episode.end - episode.start);

/** Blocked when it is so on the whole, or for at least a minute of it. */
function isBlocked(run: JudgedRun, episode: FlowEpisode, limits: Thresholds, step: number): boolean {
  if (episode.ratio.value < limits.blocked) return true;
  let seconds = 0;
  for (let j = episode.from; j < episode.to; j++) {
    if (Number.isNaN((run.counts[j] as number) + (run.expected[j] as number))) continue;
    if ((FLOW_LEVELS[run.path[j] as number] as number) < limits.blocked) seconds += step;
    else if (seconds < limits.actionBlocked) seconds = 0;
  }
  return seconds >= limits.actionBlocked;
}

function settledRatio(run: JudgedRun, kind: CaseKind, episodes: readonly FlowEpisode[], shape: FaultShape, step: number): Interval {
  let counts = 0;
  let expected = 0;
  let seconds = 0;
  for (const episode of episodes) {
    for (let j = Math.max(episode.from, shape.settledFrom); j < episode.to; j++) {
      const count = run.counts[j] as number;
      const due = run.expected[j] as number;
      if (Number.isNaN(count + due) || (kind === 'blocked' && episode.ratio.value >= 0.25 && (FLOW_LEVELS[run.path[j] as number] as number) > 0.25)) continue;
      counts += count;
      expected += due;
      seconds += step;
    }
  }
  return expected > 0 ? flowRatio(ratioOf(counts, expected, run.dispersion, run.past?.uncertainty ?? 0.05), expected / seconds) : { value: 0, low: 0, high: 0 };
}

/** Suspects of one tower whose stretches mostly coincide cannot be told apart and stand together. */
function tested(view: DrillView, one: Untested, found: readonly Untested[]): RunCase {
  const runs = view.drill.towers[one.tower] as TowerRuns;
  const flow = view.towers[one.tower] as TowerFlow;
  const outlets = view.log.towers[one.tower]?.outlets ?? runs.runs.length;
  const blank = runs.runs.filter((run) => run.presence.usual === 0).length;
  const rivals = found.filter((other) => other !== one && (other.kind === 'high') === (one.kind === 'high') && other.kind !== 'stuck' && other.kind !== 'missing');
  const together = rivals.filter((other) => overlap(one, other) > 0.8);
  const suspect = ({ index, episodes }: Untested): Suspect => ({ index, episodes });
  const gains = runs.runs.reduce((sum, run) => sum + (run.gain > 0 ? run.gain : 0), 0) + Math.max(0, outlets - runs.runs.length);
  const test = matesTest({
      log: view.log, tower: runs, flow, outlets: outlets - blank, slow: one.shape.kind === 'slow',
      suspects: [one, ...together].map(suspect), others: rivals.filter((other) => !together.includes(other)).map(suspect),
    });
  return { ...one, test, ratio: test.verdict === 'flow' ? againstUndisturbed(one.ratio, (runs.runs[one.index]?.gain ?? 0) / gains) : one.ratio };
}

/**
 * The mates of a run with the share s of its tower rise when it loses, so that run ÷ mates understates what is left:
 * r = f (1 − s) ÷ (1 − s f), solved for f.
 */
export function againstUndisturbed({ value, low, high }: Interval, share: number): Interval {
  const solved = (ratio: number): number => ratio / (1 - share + share * ratio);
  return { value: solved(value), low: solved(low), high: solved(high) };
}

/** Shared time ÷ the longer one's time. */
function overlap(a: Untested, b: Untested): number {
  const seconds = (spans: readonly Span[]): number => spans.reduce((sum, { start, end }) => sum + end - start, 0);
  const shared = a.episodes.reduce((sum, one) => sum + b.episodes.reduce((part, other) => part + Math.max(0, Math.min(one.end, other.end) - Math.max(one.start, other.start)), 0), 0);
  return shared / Math.max(seconds(a.episodes), seconds(b.episodes));
}
