import type { Farm } from './land.ts';
import { STEP } from './machine.ts';
import { PARKED, createTrack } from './track.ts';
import type { Stretch, Track } from './track.ts';

/** m/s²; braking is twice as strong. */
export const ACCELERATION = 0.4;

export interface TractorState {
  east: number;
  north: number;
  heading: number;
  speed: number;
  /** m of the antenna along the lane. */
  along: number;
  stretch: number;
  activity: number;
  working: number;
  fansOn: number;
  engineOn: number;
  spinning: number;
  testSpeed: number;
}

/** Moves in steps of 0.2 s and writes each into the track. */
export interface Tractor {
  readonly track: Track;
  readonly state: TractorState;
  readonly time: () => number;
  readonly done: () => boolean;
  /** Speed moves to the wanted one as fast as engine and brakes allow. */
  readonly accelerate: (wanted: number) => void;
  /** Horizontal m of this step: the ground may be steep. */
  readonly stepLength: () => number;
  /** Writes the present state as one step. */
  readonly record: () => void;
  /** One step straight on. */
  readonly coast: () => void;
  readonly standUntil: (end: number) => void;
  /** Drives to a point with a turning circle. */
  readonly goTo: (east: number, north: number, wanted: number, end: number) => void;
  /** An arc by `angle` (right positive) of a radius. */
  readonly turn: (angle: number, radius: number, wanted: number) => void;
}

export function createTractor(seconds: number, stretches: readonly Stretch[], farm: Farm, start: { readonly east: number; readonly north: number; readonly heading: number }): Tractor {
  const track = createTrack(seconds, stretches);
  const state: TractorState = { ...start, speed: 0, along: 0, stretch: -1, activity: PARKED, working: 0, fansOn: 1, engineOn: 1, spinning: 0, testSpeed: Number.NaN };
  let step = 0;
  const time = (): number => step * STEP;
  const done = (): boolean => step >= track.steps;
  const stepLength = (): number => state.speed * STEP * Math.cos(step > 0 ? track.pitch[step - 1] as number : 0);

  const record = (): void => {
    if (done()) return;
    const i = step++;
    const [toEast, toNorth] = farm.slope(state.east, state.north);
    const sin = Math.sin(state.heading);
    const cos = Math.cos(state.heading);
    track.east[i] = state.east;
    track.north[i] = state.north;
    track.heading[i] = state.heading;
    track.speed[i] = state.speed;
    track.pitch[i] = Math.atan(toEast * sin + toNorth * cos);
    track.roll[i] = Math.atan(toEast * cos - toNorth * sin);
    track.activity[i] = state.activity;
    track.working[i] = state.working;
    track.fansOn[i] = state.fansOn;
    track.engineOn[i] = state.engineOn;
    track.spinning[i] = state.spinning;
    track.testSpeed[i] = state.testSpeed;
    track.stretch[i] = state.stretch;
    track.along[i] = state.along;
  };

  const accelerate = (wanted: number): void => {
    state.speed += Math.max(-2 * ACCELERATION * STEP, Math.min(ACCELERATION * STEP, wanted - state.speed));
  };

  const coast = (): void => {
    const length = stepLength();
    state.east += Math.sin(state.heading) * length;
    state.north += Math.cos(state.heading) * length;
    state.along += length;
    record();
  };

  return {
    track, state, time, done, accelerate, stepLength, record, coast,
    standUntil: (end) => {
      while (!done() && time() < end) {
        accelerate(0);
        coast();
      }
    },
    goTo: (east, north, wanted, end) => {
      let closest = Number.POSITIVE_INFINITY;
      while (!done() && time() < end) {
        const away = Math.hypot(east - state.east, north - state.north);
        closest = Math.min(closest, away);
        /* There, or past it as near as the turning circle allows. */
        if (away < 1 || (closest < 8 && away > closest + 0.5)) return;
        const off = wrapped(Math.atan2(east - state.east, north - state.north) - state.heading);
        accelerate(Math.abs(off) > 0.4 ? Math.min(wanted, 1.7) : wanted);
        const fastest = (Math.max(state.speed, 0.2) / 9) * STEP;
        state.heading += Math.max(-fastest, Math.min(fastest, off * 0.3));
        coast();
      }
    },
    turn: (angle, radius, wanted) => {
      const goal = state.heading + angle;
      const sense = Math.sign(angle);
      while (!done() && sense * (goal - state.heading) > 1e-3) {
        accelerate(wanted);
        state.heading += sense * Math.min(Math.abs(goal - state.heading), (Math.max(0.3, state.speed) * STEP) / radius);
        coast();
      }
    },
  };
}

const wrapped = (angle: number): number => angle - 2 * Math.PI * Math.round(angle / (2 * Math.PI));
