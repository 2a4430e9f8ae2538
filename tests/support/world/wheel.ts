import { STEP, TRUE_WHEEL_CONSTANT } from './machine.ts';
import { dayLength, during, faultsOf } from './plan.ts';
import type { DayPlan } from './plan.ts';
import { wander } from './random.ts';
import type { Random } from './random.ts';
import { ROAD } from './track.ts';
import type { Track } from './track.ts';

export interface WheelSignals {
  /** Cumulative pulses at each step, not yet whole. */
  readonly pulses: Float64Array;
  /** m/s as the controller sees it (pulses ÷ entered constant, over the last 0.4 s), per step. */
  readonly indicated: Float32Array;
  /** m/s of the tractor's driveline, per step. */
  readonly drive: Float32Array;
}

/** The cart's free-rolling wheel and the tractor's driven ones. Slip of −0.005 = 0.5 % fewer pulses than way. */
export function rollWheel(plan: DayPlan, track: Track, random: Random): WheelSignals {
  const slip = plan.slip ?? { mean: -0.005, sd: 0.008, drive: 0.1 };
  const cart = wander(random, 1, 10);
  const driven = wander(random, 0.012, 12);
  const factors = faultsOf(plan, 'wheel-factor');
  const skids = faultsOf(plan, 'wheel-slip');
  const zeros = dropouts(plan, random);
  const entered = plan.entered?.wheelConstant ?? TRUE_WHEEL_CONSTANT;
  const pulses = new Float64Array(track.steps);
  const indicated = new Float32Array(track.steps);
  const drive = new Float32Array(track.steps);
  let count = 0;
  for (let i = 0; i < track.steps; i++) {
    const time = i * STEP;
    const speed = Math.abs(track.speed[i] as number);
    const unit = cart(STEP);
    const drivenSlip = driven(STEP);
    const working = track.working[i] === 1;
    const onRoad = track.activity[i] === ROAD;
    let mean = onRoad ? 0 : slip.mean;
    let sd = onRoad ? 0.002 : slip.sd;
    let driveSlip = onRoad ? 0.015 : working ? slip.drive : 0.04;
    /* Grades load or unload both wheels. */
    const grade = Math.tan(track.pitch[i] as number);
    if (!onRoad) {
      mean -= 0.1 * grade;
      driveSlip += 0.35 * grade;
    }
    for (const skid of skids) {
      if (!during(skid, time)) continue;
      mean += skid.mean;
      sd = skid.sd;
      driveSlip = skid.drive ?? driveSlip;
    }
    let factor = 1 + mean + sd * unit;
    for (const fault of factors) if (during(fault, time)) factor *= fault.last === undefined ? fault.factor : fault.factor + ((fault.last - fault.factor) * (time - fault.start)) / (fault.end - fault.start);
    if (zeros.some((zero) => during(zero, time))) factor = 0;
    /* The wheel of a parked or creeping cart gives no new pulses. */
    count += speed * STEP * TRUE_WHEEL_CONSTANT * factor;
    pulses[i] = count;
    const before = i >= 2 ? pulses[i - 2] as number : 0;
    indicated[i] = i >= 2 ? (count - before) / (2 * STEP) / entered : 0;
    const spinning = track.spinning[i] as number;
    drive[i] = spinning > 0 ? 1.2 + 0.1 * unit : (speed * (1 + 0.005 * random.normal())) / (1 - Math.max(0, driveSlip + drivenSlip));
    if (speed === 0 && spinning === 0) drive[i] = 0;
  }
  return { pulses, indicated, drive };
}

function dropouts(plan: DayPlan, random: Random): readonly { readonly start: number; readonly end: number }[] {
  return faultsOf(plan, 'wheel-dropout').flatMap((fault) => {
    const spans: { start: number; end: number }[] = [];
    const end = Math.min(dayLength(plan), fault.end);
    /* The first at once, so that the fault begins when the plan says. */
    for (let t = Math.max(0, fault.start); t < end; ) {
      const length = fault.burst * random.between(0.7, 1.3);
      spans.push({ start: t, end: t + length });
      t += length - fault.every * Math.log(1 - random.uniform());
    }
    return spans;
  });
}
