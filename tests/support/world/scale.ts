import { STEPS_PER_SECOND, TANKS } from './machine.ts';
import type { ProductFlow } from './flow.ts';
import { during, faultsOf, fillsOf } from './plan.ts';
import type { DayPlan } from './plan.ts';
import { wander } from './random.ts';
import type { Random } from './random.ts';
import type { Track } from './track.ts';

const DEGREE = Math.PI / 180;

/** kg shown by the scale of one tank, each second: noise, wander, tilt, 5 kg steps, and the scale's own faults. */
export function weigh(plan: DayPlan, track: Track, flow: ProductFlow | undefined, tank: number, random: Random): Float32Array {
  const seconds = Math.floor((track.steps - 1) / STEPS_PER_SECOND);
  const tare = TANKS[tank - 1]?.tare ?? 0;
  const moving = wander(random, 12, 1.5);
  const slow = wander(random, 6, 180);
  const jolt = wander(random, 1, 4);
  const fills = fillsOf(plan);
  const own = <T extends { readonly tank: number }>(list: readonly T[]): readonly T[] => list.filter((fault) => fault.tank === tank);
  const spans = own(faultsOf(plan, 'scale-span'));
  const cells = own(faultsOf(plan, 'cell-lost'));
  const offsets = own(faultsOf(plan, 'scale-offset'));
  const noises = own(faultsOf(plan, 'scale-noise'));
  const zeroed = own(faultsOf(plan, 'scale-zeroed')).map((fault) => ({ start: fault.start, jump: Number.NaN }));
  const result = new Float32Array(seconds + 1);
  for (let s = 0; s <= seconds; s++) {
    const i = s * STEPS_PER_SECOND;
    const product = flow === undefined ? 0 : flow.mass[i] as number;
    const pitch = track.pitch[i] as number;
    const roll = track.roll[i] as number;
    let gross = (product + tare) * Math.cos(Math.hypot(pitch, roll)) * (1 + 0.0015 * (pitch / DEGREE));
    const isMoving = Math.abs(track.speed[i] as number) > 0.1;
    for (const fault of cells) if (during(fault, s)) gross *= fault.share;
    for (const fault of spans) if (during(fault, s)) gross *= fault.factor;
    const bounce = moving(1);
    let noise = isMoving ? bounce : 2 * random.normal();
    for (const fault of noises) if (during(fault, s)) noise *= fault.factor;
    let shown = gross - tare + slow(1) + noise;
    for (const fault of offsets) if (during(fault, s)) shown += fault.kg * (fault.ramp === undefined ? 1 : Math.min(1, (s - Math.max(0, fault.start)) / fault.ramp));
    const swing = jolt(1);
    for (const fill of fills) if (s >= fill.start && s < fill.end) shown += swing * (fill.jolt ?? 8) * (fill.tank === tank ? 1 : 0.5);
    for (const fault of zeroed) {
      if (s < fault.start) continue;
      if (Number.isNaN(fault.jump)) fault.jump = -shown;
      shown += fault.jump * Math.min(1, (s - fault.start + 1) / 2);
    }
    result[s] = Math.round(shown / 5) * 5;
  }
  return result;
}

const CORNERS = [0.23, 0.27, 0.26, 0.24] as const;

/** kg on each of four cells: its share of the load, with noise of its own; a lost cell stays where it was and the sum lacks it. */
export function weighCells(plan: DayPlan, mass: Float32Array, tank: number, random: Random): readonly Float32Array[] {
  const tare = TANKS[tank - 1]?.tare ?? 0;
  const lost = faultsOf(plan, 'cell-lost').filter((fault) => fault.tank === tank);
  return CORNERS.map((corner, m) => mass.map((sum, s) => {
    const fault = lost.find((candidate) => during(candidate, s));
    const gross = sum + tare;
    /* The last cell is the one that fails. */
    const load = fault === undefined ? gross * corner : m === CORNERS.length - 1 ? 0 : (gross * corner) / (1 - (CORNERS[3] as number));
    return Math.round(load - tare * corner + 5 * random.normal());
  }));
}
