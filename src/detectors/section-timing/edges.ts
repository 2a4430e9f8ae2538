import type { Channel } from '../../../shared/channel.ts';
import { valueAt } from '../../series/resample.ts';
import { median } from '../../series/robust.ts';
import { maskOf } from '../../series/spans.ts';
import type { DetectorContext } from '../detector.ts';
import { countedProducts } from '../run-flow/cost.ts';
import { medianOfPositive } from '../run-flow/typed-median.ts';
import type { DrillView } from '../run-flow/run-cases.ts';
import type { SectionTimingOptions } from './options.ts';
import { integrate, runSamples, type RunSamples } from './run-samples.ts';

/** A section, its towers and their run sensors. */
export interface SectionRuns {
  readonly section: string;
  readonly towers: readonly { readonly id: string; readonly runs: readonly RunSamples[]; readonly settling: number }[];
  /** Outlets by the setup. */
  readonly outlets: number;
}

/** One command and how the flow followed. */
export interface Edge {
  readonly section: string;
  readonly on: boolean;
  /** s from the day's start. */
  readonly time: number;
  /** Command to flow by area at the fan's usual speed, s: of the section, and of each of its towers in turn. */
  readonly delay: number;
  readonly towers: readonly number[];
  /** The towers' delays as they were, s. */
  readonly seen: readonly number[];
  /** m/s, mean from the command to the flow's change. */
  readonly speed: number;
  /** s taken off because the fan was slower than usual just then; as much again may be right or wrong. */
  readonly airAdded: number;
  /** The fan kept its speed while the product travelled. */
  readonly calm: boolean;
  /** Steady flow after an ON or before an OFF, s from the day's start. */
  readonly steady: Steady;
}

type Context = Pick<DetectorContext<string, object>, 'channel' | 'timeline' | 'episodes' | 'setup'>;

/** Sections that the setup ties to towers with live run sensors. */
export function sectionRuns(context: Context, { log, drill }: DrillView): readonly SectionRuns[] {
  const sections = [...new Set(log.towers.flatMap(({ section }) => (section !== undefined && context.channel(`section.${section}.on`) !== undefined ? [section] : [])))];
  return sections.map((section) => {
    const towers = log.towers.flatMap((tower, t) => {
      if (tower.section !== section) return [];
      const runs = tower.runs.flatMap((run, index) => {
        const judged = drill.towers[t]?.runs[index];
        const number = log.runs[run]?.number ?? 0;
        const channel = context.channel(`run.${number}.count`);
        if (channel === undefined || judged === undefined || judged.presence.usual === 0 || judged.stuck.length > 0) return [];
        return runSamples(number, channel) ?? [];
      });
      return runs.length === 0 ? [] : [{ id: tower.id, runs, settling: drill.towers[t]?.judged.settling ?? 8 }];
    });
    return { section, towers, outlets: log.towers.reduce((sum, tower) => sum + (tower.section === section ? tower.outlets : 0), 0) };
  }).filter(({ towers }) => towers.length > 0);
}

/** Every command of the day round which all else stood still, or moved little enough to be allowed for. */
export function usableEdges(context: Context, sections: readonly SectionRuns[], options: SectionTimingOptions): readonly Edge[] {
  const surroundings = surroundingsOf(context);
  return sections.flatMap((section) => {
    const commands = context.episodes.switches.filter((edge) => edge.section === section.section);
    const settling = Math.max(...section.towers.map((tower) => tower.settling)) + 1;
    return commands.flatMap(({ time, on }, k): Edge[] => {
      const before = time - (commands[k - 1]?.time ?? Number.NEGATIVE_INFINITY);
      const after = (commands[k + 1]?.time ?? Number.POSITIVE_INFINITY) - time;
      const steadyFor = Math.min(options.steadySeconds, (on ? after : before) - settling);
      if (before < options.aloneSeconds || after < options.aloneSeconds || steadyFor < options.leastSteadySeconds) return [];
      const steady = on ? { from: time + settling, to: time + settling + steadyFor } : { from: time - steadyFor, to: time };
      const air = airAt(surroundings, time, steady, options);
      if (air === undefined || !movesSteadily(surroundings, time, on, steady, options)) return [];
      const towers = section.towers.map(({ runs }) => delayOf(runs, { time, on, steady, settling, runDry: options.runDrySeconds }, surroundings));
      if (towers.some((tower) => tower === undefined)) return [];
      const known = towers.flatMap((tower) => tower ?? []);
      const flow = known.reduce((sum, tower) => sum + tower.flow, 0);
      const delay = known.reduce((sum, tower) => sum + tower.delay * tower.flow, 0) / flow;
      return [{
        section: section.section, on, time, steady, calm: isCalm(surroundings, time, options), airAdded: airAdded(delay, air), delay: delay - airAdded(delay, air),
        towers: known.map((tower) => tower.delay - airAdded(tower.delay, air)), seen: known.map((tower) => tower.delay),
        speed: surroundings.speed === undefined ? Number.NaN : meanBetween(surroundings.speed, time, time + Math.max(1, delay)),
      }];
    });
  });
}

/** s of a delay that the air has no part in: meter and drop, half the rise, fall (trade.md d.2); the rest goes with 1 ÷ fan speed. */
const WITHOUT_AIR = 1.1;
/**
 * How much of a dip of a few seconds reaches the product under way: somewhere between nothing (the air in the lines goes on) and
 * all; taken as half, with the other half as uncertainty. Common practice, no source.
 */
const REACHED = 0.5;

/** s that a slow fan added to a delay. */
const airAdded = (delay: number, air: number): number => REACHED * Math.max(0, delay - WITHOUT_AIR) * (1 - air);

interface Surroundings {
  /** m/s per second of the day, and rpm of the fan that carries the counted product with its usual value at work. */
  readonly speed: Float64Array | undefined;
  readonly fan: Float64Array | undefined;
  readonly usualFan: number;
  /** The channel the meter follows best: its own times matter here. */
  readonly meterSpeed: Pick<Channel, 'time' | 'value'> | undefined;
}

function surroundingsOf({ channel, timeline, episodes, setup }: Context): Surroundings {
  const id = countedProducts(setup.job.products).find((product) => product.fan !== undefined)?.fan ?? '1';
  const fan = timeline.mean(`fan.${id}.speed`);
  const working = maskOf(episodes.working, timeline.length);
  return {
    speed: timeline.mean('gnss.speed') ?? timeline.mean('wheel.speed') ?? timeline.mean('drive.speed'),
    fan, usualFan: fan === undefined ? Number.NaN : medianOfPositive(fan.map((rpm, k) => (working[k] === 1 ? rpm : 0))),
    meterSpeed: meterSpeedOf({ channel }),
  };
}

/** Fan speed while the product travels ÷ its usual one; undefined when it strays too far or changes afterwards. */
function airAt({ fan, usualFan }: Surroundings, time: number, steady: Steady, { unsteady, mostAir }: SectionTimingOptions): number | undefined {
  if (fan === undefined || !(usualFan > 0)) return 1;
  const share = meanBetween(fan, time, time + 3) / usualFan;
  const later = meanBetween(fan, steady.from, steady.to) / usualFan;
  return Math.abs(share - 1) > mostAir || Math.abs(later - 1) > unsteady ? undefined : share;
}

/** s from the command in which the product passes the lines. */
const UNDER_WAY = 2;

function isCalm({ fan, usualFan }: Surroundings, time: number, { calmAir }: SectionTimingOptions): boolean {
  if (fan === undefined || !(usualFan > 0)) return true;
  for (let k = Math.floor(time); k < Math.ceil(time + UNDER_WAY); k++) if (Math.abs((fan[k] ?? Number.NaN) / usualFan - 1) > calmAir) return false;
  return true;
}

/** What flows at the openers was metered a delay earlier, so an OFF cares for the speed before it only: a driver who slows down after it changes nothing. */
function movesSteadily({ speed }: Surroundings, time: number, on: boolean, steady: Steady, options: SectionTimingOptions): boolean {
  if (speed === undefined) return true;
  const usual = meanBetween(speed, steady.from, steady.to);
  const near = on ? meanBetween(speed, time, time + 3) : meanBetween(speed, time - 3, time);
  return usual > options.slowest && Math.abs(near / usual - 1) <= options.mostSpeed;
}

export interface Steady {
  readonly from: number;
  readonly to: number;
}

interface Step {
  readonly time: number;
  readonly on: boolean;
  readonly steady: Steady;
  readonly settling: number;
  readonly runDry: number;
}

/** Counts in the steady stretch below which an edge says too little. */
const LEAST_COUNTS = 200;
/** Flow left before an ON or after an OFF that shows the command was not followed, or not alone. */
const MOST_IDLE = 0.1;
/** s by which the flow follows the meter, to start with. */
const FIRST_LAG = 2.5;
/** s before and after its middle in which a flow has all but finished to rise, or not yet begun to fall (trade.md d.2: the rise takes 0.5 to 1.5 s more). */
const ROUND_HALF = 2.5;

/**
 * Delay by area (trade.md d.3): ON ∫(1 − flow ÷ steady) dt, OFF ∫ flow ÷ steady dt, both from the command on, with the flow per
 * metre travelled when it was metered. Whole samples are summed: before an ON nothing flows, before an OFF all does, so that
 * the sample with the edge in it needs no splitting.
 */
function delayOf(runs: readonly RunSamples[], step: Step, { meterSpeed }: Surroundings): { readonly delay: number; readonly flow: number } | undefined {
  const { time, on, steady, settling, runDry } = step;
  let lag = FIRST_LAG;
  let result: { readonly delay: number; readonly flow: number } | undefined;
  for (let round = 0; round < 3; round++) {
    const perMetre = (at: number): number => 1 / meteredSpeed(meterSpeed, at - lag, time, on);
    let flow = 0;
    let counts = 0;
    let idle = 0;
    let level = 0;
    let span = 0;
    let n = 0;
    for (const run of runs) {
      const full = integrate(run, steady.from, steady.to, perMetre);
      /* No longer than it takes: what flows steadily besides only adds its noise. */
      const from = on || result === undefined ? time - 1.5 * run.interval : time + Math.max(-1.5 * run.interval, lag - ROUND_HALF);
      const to = time + (on ? (result === undefined ? settling : Math.min(settling, lag + ROUND_HALF)) : runDry);
      const edge = integrate(run, from, to, perMetre);
      const quiet = on ? integrate(run, time - 3 - run.interval, time - 0.5 * run.interval, perMetre) : integrate(run, time + runDry - 2 - run.interval, time + runDry, perMetre);
      if (full === undefined || edge === undefined || quiet === undefined) continue;
      flow += full.counts / (full.end - full.start);
      level += full.seen;
      counts += edge.counts;
      idle += quiet.counts / (quiet.end - quiet.start);
      span += on ? edge.end - time : time - edge.start;
      n++;
    }
    if (level < LEAST_COUNTS || n < runs.length / 2 || idle > MOST_IDLE * flow) return undefined;
    const delay = on ? span / n - counts / flow : counts / flow - span / n;
    result = { delay, flow };
    lag = Math.min(8, Math.max(0.5, delay));
  }
  return result;
}

const MINIMUM_SPEED = 0.5;

/** m/s at which the meter worked when it fed what is seen now: not before an ON, not after an OFF. */
export function meteredSpeed(meterSpeed: Pick<Channel, 'time' | 'value'> | undefined, metered: number, command: number, on: boolean): number {
  if (meterSpeed === undefined) return 1;
  return Math.max(MINIMUM_SPEED, valueAt(meterSpeed.time, meterSpeed.value, on ? Math.max(metered, command) : Math.min(metered, command)) || 1);
}

/** The channel the meter follows best. */
export const meterSpeedOf = ({ channel }: Pick<Context, 'channel'>): Channel | undefined => channel('wheel.speed') ?? channel('gnss.speed');

export function meanBetween(values: Float64Array | undefined, from: number, to: number): number {
  if (values === undefined) return Number.NaN;
  let sum = 0;
  let n = 0;
  for (let k = Math.max(0, Math.floor(from)); k < Math.min(values.length, Math.ceil(to)); k++) {
    if (Number.isNaN(values[k] as number)) continue;
    sum += values[k] as number;
    n++;
  }
  return n === 0 ? Number.NaN : sum / n;
}

/** s; sections of one drill cross a boundary one after the other. */
const ONE_CROSSING = 6;

/** Edges of the same direction that belong to one crossing of a boundary: the independent unit. */
export function crossings(edges: readonly Edge[], on: boolean): readonly (readonly Edge[])[] {
  const groups: Edge[][] = [];
  for (const edge of edges.filter((each) => each.on === on).toSorted((a, b) => a.time - b.time)) {
    const last = groups.at(-1);
    if (last !== undefined && edge.time - (last.at(-1)?.time ?? 0) < ONE_CROSSING && !last.some(({ section }) => section === edge.section)) last.push(edge);
    else groups.push([edge]);
  }
  return groups;
}

export const typicalSpeed = (edges: readonly Edge[]): number => median(edges.map(({ speed }) => speed).filter((speed) => speed > 0));
