import type { DetectorContext } from '../detector.ts';
import { sampleStep } from './sample-step.ts';

/** The counts of one run, one value per cell. */
export interface FlowRun {
  readonly number: number;
  readonly channel: string;
  /** Index of its tower in `FlowLog.towers`. */
  readonly tower: number;
  /** Counts in the cell; NaN = not logged. */
  readonly counts: Float64Array;
}

export interface FlowTower {
  /** As in the setup; empty when the setup names no tower for these runs. */
  readonly id: string;
  /** Indices into `FlowLog.runs`. */
  readonly runs: readonly number[];
  /** Outlets by the setup, logged or not: what shares the tower's flow. */
  readonly outlets: number;
  readonly section?: string;
  /** 1 where the tower is commanded on, the drill works and moves. */
  readonly open: Uint8Array;
  /** Seconds since `open` began, 0 where closed. */
  readonly openFor: Float32Array;
}

/** The day as run-flow sees it: counts on a common grid of whole seconds, and when each tower should flow. */
export interface FlowLog {
  /** s per cell, whole. */
  readonly step: number;
  readonly cells: number;
  readonly runs: readonly FlowRun[];
  readonly towers: readonly FlowTower[];
  /** m/s per cell, NaN = unknown. */
  readonly speed: Float64Array;
  readonly working: Uint8Array;
}

type Context = Pick<DetectorContext<string, object>, 'channels' | 'timeline' | 'episodes' | 'setup'>;

export function readFlowLog(context: Context, slowestSpeed: number): FlowLog {
  const { timeline, setup } = context;
  const channels = context.channels('run.*.count');
  const step = sampleStep(channels);
  const cells = Math.floor(timeline.length / step);
  const working = workingCells(context, cells, step);
  const speed = speedCells(timeline, cells, step);

  const numbers = channels.map(({ id }) => Number(id.split('.')[1]));
  const named = setup.machine.towers.map((tower) => ({ id: tower.id, section: tower.section, outlets: tower.runs.length, numbers: tower.runs }));
  const homeless = numbers.filter((number) => !named.some((tower) => tower.numbers.includes(number)));
  const plans = [...named, ...(homeless.length > 0 ? [{ id: '', section: undefined, outlets: homeless.length, numbers: homeless }] : [])]
    .filter((plan) => plan.numbers.some((number) => numbers.includes(number)));

  const runs: FlowRun[] = [];
  const towers = plans.map((plan, tower): FlowTower => {
    const own = plan.numbers.flatMap((number) => {
      const channel = `run.${number}.count`;
      const rate = numbers.includes(number) ? timeline.mean(channel) : undefined;
      if (rate === undefined) return [];
      runs.push({ number, channel, tower, counts: countsPerCell(rate, cells, step) });
      return [runs.length - 1];
    });
    const open = openCells(context, plan.section, working, speed, step, slowestSpeed);
    return {
      id: plan.id, runs: own, outlets: plan.outlets, open, openFor: timeOpen(open, step),
      ...(plan.section === undefined ? {} : { section: plan.section }),
    };
  });
  return { step, cells, runs, towers, speed, working };
}

function countsPerCell(rate: Float64Array, cells: number, step: number): Float64Array {
  if (step === 1) return rate.subarray(0, cells);
  const counts = new Float64Array(cells);
  for (let k = 0; k < cells; k++) {
    let sum = 0;
    for (let s = 0; s < step; s++) sum += rate[k * step + s] as number;
    counts[k] = sum;
  }
  return counts;
}

function workingCells({ episodes }: Context, cells: number, step: number): Uint8Array {
  const mask = new Uint8Array(cells);
  for (const { start, end } of episodes.working) {
    mask.fill(1, Math.max(0, Math.ceil(start / step - 0.5)), Math.max(0, Math.min(cells, Math.ceil(end / step - 0.5))));
  }
  return mask;
}

/** Best speed per cell: GNSS, else radar, wheel or driveline, whichever knows. */
function speedCells(timeline: Context['timeline'], cells: number, step: number): Float64Array {
  const sources = ['gnss.speed', 'ground.speed', 'wheel.speed', 'drive.speed'].flatMap((id) => timeline.mean(id) ?? []);
  const speed = new Float64Array(cells).fill(Number.NaN);
  for (let k = 0; k < cells; k++) {
    const middle = k * step + (step >> 1);
    for (const source of sources) {
      const value = source[middle] as number;
      if (Number.isNaN(value)) continue;
      speed[k] = value;
      break;
    }
  }
  return speed;
}

/**
 * A tower without a section of its own in the setup is held open only while every logged section is on:
 * less data, but never a commanded stop taken for a fault. An unknown state counts as on.
 */
function openCells({ timeline, channels }: Context, section: string | undefined, working: Uint8Array, speed: Float64Array, step: number, slowest: number): Uint8Array {
  const ids = section !== undefined && timeline.held(`section.${section}.on`) !== undefined
    ? [`section.${section}.on`]
    : channels('section.*.on').map(({ id }) => id);
  const states = ids.flatMap((id) => timeline.held(id) ?? []);
  const open = new Uint8Array(working.length);
  for (let k = 0; k < open.length; k++) {
    if (working[k] === 0 || (speed[k] as number) < slowest) continue;
    let on = 1;
    for (const state of states) {
      for (let s = k * step; s < (k + 1) * step; s++) if ((state[s] as number) < 0.5) on = 0;
    }
    open[k] = on;
  }
  return open;
}

function timeOpen(open: Uint8Array, step: number): Float32Array {
  const since = new Float32Array(open.length);
  let age = 0;
  for (let k = 0; k < open.length; k++) {
    age = open[k] === 1 ? age + step : 0;
    since[k] = age;
  }
  return since;
}
