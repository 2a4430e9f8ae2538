import { FAN_TARGETS, STEP, TANK_PRESSURE } from './machine.ts';
import { during, faultsOf } from './plan.ts';
import type { DayPlan } from './plan.ts';
import type { Random } from './random.ts';
import { wander } from './random.ts';
import type { Track } from './track.ts';

export interface Air {
  /** True rpm of both fans, per step. */
  readonly rpm: readonly [Float32Array, Float32Array];
  /** Commanded rpm. */
  readonly target: readonly [Float32Array, Float32Array];
  readonly engine: Float32Array;
}

const RUN_DOWN = 14;
const SPIN_UP = 5;

/** Engine and hydraulic fans: lift dips, climbs, run-down at fills, cold oil. */
export function blow(plan: DayPlan, track: Track, random: Random): Air {
  const rpm: [Float32Array, Float32Array] = [new Float32Array(track.steps), new Float32Array(track.steps)];
  const target: [Float32Array, Float32Array] = [new Float32Array(track.steps), new Float32Array(track.steps)];
  const engine = new Float32Array(track.steps);
  const slow = faultsOf(plan, 'fan-slow');
  const hunting = faultsOf(plan, 'fan-hunting');
  const off = faultsOf(plan, 'fan-off');
  const throttled = faultsOf(plan, 'engine-slow');
  const engineNoise = wander(random, 25, 2);
  let dipEnd = -1;
  const state = [0, 0];
  for (let i = 0; i < track.steps; i++) {
    const time = i * STEP;
    const lifting = i > 0 && track.working[i] !== track.working[i - 1];
    if (lifting) dipEnd = time + random.between(2, 4);
    const grade = Math.tan(track.pitch[i] as number);
    const moving = Math.abs(track.speed[i] as number) > 0.3;
    const throttle = throttled.find((fault) => during(fault, time));
    const runs = track.engineOn[i] === 1;
    /* 60 rpm lost on an ordinary climb, 120 at 12 %. */
    const climb = moving ? Math.max(0, grade) * 1000 : 0;
    const idle = !moving && track.fansOn[i] === 0;
    engine[i] = runs ? (throttle?.rpm ?? (idle ? 950 : 1900 - climb)) + engineNoise(STEP) : 0;
    for (let f = 0; f < 2; f++) {
      const command = runs && track.fansOn[i] === 1 ? FAN_TARGETS[f] as number : 0;
      (target[f] as Float32Array)[i] = command;
      let wanted = command;
      if (off.some((fault) => fault.fan === f + 1 && during(fault, time))) wanted = 0;
      if (wanted > 0) {
        for (const fault of slow) {
          if (fault.fan !== f + 1 || !during(fault, time)) continue;
          const warmed = fault.warm === undefined ? 0 : Math.min(1, (time - Math.max(0, fault.start)) / fault.warm);
          wanted = command - (command - fault.rpm) * (1 - warmed ** 1.5);
        }
        if (throttle !== undefined && f === 0) wanted = Math.min(wanted, throttle.fanRpm);
        wanted *= 1 - 0.45 * Math.max(0, moving ? grade : 0);
        if (time < dipEnd) wanted -= 450;
        for (const fault of hunting) if (fault.fan === f + 1 && during(fault, time)) wanted += fault.amplitude * Math.sin((2 * Math.PI * time) / fault.period);
      }
      const now = state[f] as number;
      const tau = wanted === 0 ? RUN_DOWN : wanted < now || now > 0.8 * wanted ? 0.5 : SPIN_UP;
      state[f] = now + (wanted - now) * (1 - Math.exp(-STEP / tau));
      (rpm[f] as Float32Array)[i] = (state[f] as number) < 30 ? 0 : state[f] as number;
    }
  }
  return { rpm, target, engine };
}

/** Pa in a tank's plenum at a fan speed. */
export const plenumPressure = (fan: 0 | 1, rpm: number): number => TANK_PRESSURE[fan] * (rpm / (FAN_TARGETS[fan] as number)) ** 2;
