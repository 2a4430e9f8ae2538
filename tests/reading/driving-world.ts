import type { Channel } from '../../shared/channel.ts';
import { receive } from '../support/world/gnss.ts';
import { loseRecords } from '../support/world/log-loss.ts';
import { STEPS_PER_SECOND } from '../support/world/machine.ts';
import { drive } from '../support/world/path.ts';
import { dayLength, dayStart, faultsOf } from '../support/world/plan.ts';
import { createRandom } from '../support/world/random.ts';
import { plans } from '../support/world/scenario.ts';
import { rollWheel } from '../support/world/wheel.ts';
import type { World } from '../support/world/world.ts';

/** What of a synthetic day clocks are about: its driving, as the same generator drives it, without product and fans. */
export type DrivingWorld = Pick<World, 'channels' | 'dayStart' | 'duration' | 'clocks'>;

export function drivingWorld(id: string, seed: number): DrivingWorld {
  const plan = plans.find((candidate) => candidate.id === id);
  if (plan === undefined) throw new Error(`no synthetic day '${id}'`);
  const track = drive(plan, createRandom(seed, `${id}/path`));
  const wheel = rollWheel(plan, track, createRandom(seed, `${id}/wheel`));
  const gnss = receive(plan, track, createRandom(seed, `${id}/gnss`));
  const noise = createRandom(seed, `${id}/sensors`);
  const everyStep = Float64Array.from({ length: track.steps }, (_, i) => Math.round((i / STEPS_PER_SECOND) * 10) / 10);
  const everySecond = Float64Array.from({ length: Math.floor((track.steps - 1) / STEPS_PER_SECOND) + 1 }, (_, s) => s);
  const channel = (file: string, name: string, time: Float64Array, value: Float32Array): Channel => ({ id: name, unit: 'm/s', source: { file: `${file}.csv`, column: name }, time, value });
  const sampled = (values: Float32Array, share: number): Float32Array => Float32Array.from(everySecond, (_, s) => (values[s * STEPS_PER_SECOND] as number) * (1 + share * noise.normal()));
  const channels = [
    channel('tractor', 'gnss.speed', everyStep, gnss.speed),
    channel('tractor', 'drive.speed', everySecond, sampled(wheel.drive, 0)),
    channel('cart', 'wheel.speed', everySecond, sampled(wheel.indicated, 0.005)),
  ];
  const clock = (file: 'cart' | 'tractor'): World['clocks']['cart'] => {
    const fault = faultsOf(plan, 'clock').find((candidate) => candidate.file === file);
    return { offset: fault?.offset ?? 0, driftPerHour: fault?.driftPerHour ?? 0, zoneHours: fault?.zoneHours ?? 0 };
  };
  return {
    channels: loseRecords(plan, channels, createRandom(seed, `${id}/loss`)),
    dayStart: dayStart(plan), duration: dayLength(plan), clocks: { cart: clock('cart'), tractor: clock('tractor') },
  };
}
