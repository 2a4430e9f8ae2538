import type { Channel } from '../../../shared/channel.ts';
import { firstAtOrAfter } from '../../series/resample.ts';
import { meteredSpeed, type Edge, type SectionRuns } from './edges.ts';
import { seedRate } from '../run-flow/dead-time.ts';
import { goneBetween, type ResponseForm } from './response-form.ts';
import type { RunSamples } from './run-samples.ts';

/** s before and after the middle of a response that tell where it lies. */
const REACH = 3;
const ROUNDS = 4;
/** Added to the share of flow that weighs a sample: nearly empty ones would else decide, and the form is least known there. */
const FLOOR = 0.1;

export interface HalfFlow {
  readonly units: readonly (readonly Edge[])[];
  /** s, standard uncertainty common to all edges: the form is itself only known from them. */
  readonly uncertainty: number;
}

/**
 * The edges with the moment of half flow instead of the delay by area: the day's own form of the response, shared by all edges,
 * is laid over each tower's counts where it fits best (least squares). A sample far from the change tells nothing about it, and
 * here adds no noise either. With the form left without a part of the edges in turn (jack-knife), all of them move together.
 */
export function halfFlowEdges(sections: readonly SectionRuns[], units: readonly (readonly Edge[])[], form: ResponseForm, others: readonly ResponseForm[], meterSpeed: MeterSpeed): HalfFlow {
  const bySection = new Map(sections.map((section) => [section.section, section.towers]));
  const moves = others.map(() => 0);
  let n = 0;
  const moved = units.map((unit) => unit.map((edge): Edge => {
    const towers = (bySection.get(edge.section) ?? []).map(({ runs }, t) => {
      const byArea = edge.seen[t] ?? edge.delay;
      const counts = summed(runs, edge, byArea, meterSpeed);
      const half = located(counts, edge, byArea, form);
      others.forEach((other, k) => { moves[k] = (moves[k] as number) + located(counts, edge, byArea, other) - half; });
      n++;
      return half + (edge.towers[t] as number) - byArea;
    });
    return { ...edge, towers, delay: towers.reduce((sum, delay) => sum + delay, 0) / towers.length };
  }));
  const means = moves.map((sum) => sum / Math.max(1, n));
  const middle = means.reduce((sum, move) => sum + move, 0) / Math.max(1, means.length);
  return { units: moved, uncertainty: Math.sqrt(((means.length - 1) / Math.max(1, means.length)) * means.reduce((sum, move) => sum + (move - middle) ** 2, 0)) };
}

type MeterSpeed = Pick<Channel, 'time' | 'value'> | undefined;

/** s from the command to half flow of a tower's runs together; by area where the counts do not tell. */
function located(counts: readonly Seen[] | undefined, { on }: Edge, byArea: number, form: ResponseForm): number {
  const start = byArea + form.halfFlow;
  if (counts === undefined) return start;
  let half = start;
  for (let round = 0; round < ROUNDS; round++) {
    let upper = 0;
    let lower = 0;
    for (const { lag, share, interval } of counts) {
      const expected = shareAt(form, lag - half, interval, on);
      const slope = (shareAt(form, lag - half + 0.02, interval, on) - shareAt(form, lag - half - 0.02, interval, on)) / 0.04;
      const weight = 1 / (FLOOR + expected);
      /* A later response shows at this lag what it showed a little before. */
      upper -= weight * slope * (share - expected);
      lower += weight * slope * slope;
    }
    if (!(lower > 0)) return start;
    half += Math.max(-0.3, Math.min(0.3, upper / lower));
  }
  return Math.abs(half - start) < 1 ? half : start;
}

/** Flow ÷ steady flow that one sample shows, `lag` s from half flow. */
function shareAt(form: ResponseForm, lag: number, interval: number, on: boolean): number {
  const gone = goneBetween(form, lag + form.halfFlow - interval / 2, lag + form.halfFlow + interval / 2);
  return on ? gone : 1 - gone;
}

interface Seen {
  readonly lag: number;
  readonly share: number;
  readonly interval: number;
}

/** Counts of all runs that share sample times, as share of their steady flow per metre travelled. */
function summed(runs: readonly RunSamples[], { time, steady, on }: Edge, lag: number, meterSpeed: MeterSpeed): readonly Seen[] | undefined {
  const [first] = runs;
  if (first === undefined) return undefined;
  const perMetre = (at: number): number => 1 / meteredSpeed(meterSpeed, at - lag, time, on);
  const rate = (k: number): number => {
    let sum = 0;
    for (const { value } of runs) sum += seedRate(value[k] as number);
    return sum * perMetre(first.time[k] as number);
  };
  let level = 0;
  let n = 0;
  for (let k = firstAtOrAfter(first.time, steady.from); k < first.time.length && (first.time[k] as number) < steady.to; k++) {
    level += rate(k);
    n++;
  }
  if (!(level > 0) || runs.some((run) => run.time.length !== first.time.length)) return undefined;
  const seen: Seen[] = [];
  const from = time + lag - REACH - first.interval;
  for (let k = firstAtOrAfter(first.time, from); k < first.time.length && (first.time[k] as number) < time + lag + REACH + first.interval; k++) {
    seen.push({ lag: (first.time[k] as number) - time, share: (rate(k) * n) / level, interval: first.interval });
  }
  return seen.some(({ share }) => Number.isNaN(share)) ? undefined : seen;
}
