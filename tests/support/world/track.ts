import { STEPS_PER_SECOND } from './machine.ts';

export const PARKED = 0;
export const ROAD = 1;
export const PASS = 2;
export const TURN = 3;

/** Where the machine was and what it did, at 5 Hz. Metres east and north of the origin (antenna), rad from north clockwise, m/s, rad. */
export interface Track {
  readonly steps: number;
  readonly east: Float64Array;
  readonly north: Float64Array;
  readonly heading: Float64Array;
  /** m/s along the ground, negative = backwards. */
  readonly speed: Float32Array;
  readonly pitch: Float32Array;
  readonly roll: Float32Array;
  readonly activity: Uint8Array;
  /** 1 = tool in the ground. */
  readonly working: Uint8Array;
  readonly fansOn: Uint8Array;
  readonly engineOn: Uint8Array;
  /** Extra slip of the driven wheels while stuck, ratio. */
  readonly spinning: Float32Array;
  /** m/s shown to the controller in place of the wheel (test speed); NaN = none. */
  readonly testSpeed: Float32Array;
  /** Index into `stretches`; −1 = none. */
  readonly stretch: Int32Array;
  /** m of the antenna past the stretch's first boundary. */
  readonly along: Float32Array;
  readonly stretches: readonly Stretch[];
}

/** A pass, or a lap round the field: where each section has to come on and go off, m along it. */
export interface Stretch {
  readonly entry: readonly number[];
  readonly exit: readonly number[];
}

export function createTrack(seconds: number, stretches: readonly Stretch[]): Track {
  const steps = seconds * STEPS_PER_SECOND + 1;
  return {
    steps, stretches,
    east: new Float64Array(steps), north: new Float64Array(steps), heading: new Float64Array(steps),
    speed: new Float32Array(steps), pitch: new Float32Array(steps), roll: new Float32Array(steps),
    activity: new Uint8Array(steps), working: new Uint8Array(steps), fansOn: new Uint8Array(steps).fill(1), engineOn: new Uint8Array(steps).fill(1),
    spinning: new Float32Array(steps), testSpeed: new Float32Array(steps).fill(Number.NaN),
    stretch: new Int32Array(steps).fill(-1), along: new Float32Array(steps),
  };
}
