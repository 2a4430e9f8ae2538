import type { Channel } from '../../../shared/channel.ts';
import { parseSetup } from '../../../shared/setup-file.ts';
import type { Unit } from '../../../shared/units.ts';
import type { TestDay } from '../../support/detector-tester.ts';
import type { Fault } from '../../support/world/faults.ts';
import { receive } from '../../support/world/gnss.ts';
import { STEP, STEPS_PER_SECOND, TRUE_WHEEL_CONSTANT } from '../../support/world/machine.ts';
import { drive } from '../../support/world/path.ts';
import { dayLength, dayStart, type DayPlan } from '../../support/world/plan.ts';
import { createRandom } from '../../support/world/random.ts';
import { setupFile } from '../../support/world/setup-file.ts';
import { rollWheel } from '../../support/world/wheel.ts';

/** A day on which only wheel, receiver and lift switch were logged: quick to build, as the tests of the wheel want many. */
export interface WheelDay extends Omit<Partial<DayPlan>, 'faults'> {
  readonly faults?: readonly Fault[];
  /** Clock at which tooth 24 of the wheel's target breaks off. */
  readonly toothLost?: string;
  /** Logged wheel channels; default all. */
  readonly wheel?: readonly ('wheel.pulses' | 'wheel.speed' | 'wheel.distance')[];
  /** GNSS samples per second. */
  readonly rate?: 1 | 5;
  /** s of the receiver beyond the world's own 0.2 s. */
  readonly late?: number;
  /** Seconds from `from` at which the controller's number is changed, and to what. */
  readonly reentered?: { readonly at: string; readonly constant: number };
}

const TEETH = 24;

export function wheelDay(day: WheelDay, seed: number): TestDay {
  const plan: DayPlan = {
    id: 'wheel', title: 'wheel', date: '2031-05-03', from: '08:00', to: '12:00',
    tanks: { 1: { crop: 'wheat', target: 120, seedGrams: 38, start: 5000 } },
    agenda: [{ do: 'road', until: '08:12', metres: 2000 }, { do: 'seed', until: day.to ?? '12:00' }],
    truth: () => ({ clean: true, expected: [], mustNot: [], may: [], exact: {} }),
    ...day,
  };
  const track = drive(plan, createRandom(seed, 'path'));
  const wheel = rollWheel(plan, track, createRandom(seed, 'wheel'));
  const gnss = receive(plan, track, createRandom(seed, 'gnss'));
  const seconds = Math.floor((track.steps - 1) / STEPS_PER_SECOND);
  const everySecond = Float64Array.from({ length: seconds + 1 }, (_, s) => s);
  const at = (clock: string): number => (Date.parse(`${plan.date}T${clock.padEnd(8, ':00')}Z`) / 1000) - dayStart(plan);
  const lostAt = day.toothLost === undefined ? undefined : Math.round(at(day.toothLost) / STEP);
  const pulses = everySecond.map((s) => counted(wheel.pulses, s * STEPS_PER_SECOND, lostAt));
  const entered = plan.entered?.wheelConstant ?? TRUE_WHEEL_CONSTANT;
  const reentered = day.reentered === undefined ? undefined : { at: at(day.reentered.at), factor: entered / day.reentered.constant };
  const shown = (s: number): number => (wheel.indicated[s * STEPS_PER_SECOND] as number) * (reentered !== undefined && s >= reentered.at ? reentered.factor : 1);
  const stride = STEPS_PER_SECOND / (day.rate ?? 5);
  const gnssTime = Float64Array.from({ length: Math.floor((track.steps - 1) / stride) }, (_, i) => i * stride * STEP + (day.late ?? 0));
  const sampled = (values: ArrayLike<number>): Float64Array => gnssTime.map((_, i) => values[i * stride] as number);
  const channels: Channel[] = [
    ...(['lat', 'lon'] as const).map((name) => channel(`gnss.${name}`, 'deg', gnssTime, sampled(name === 'lat' ? gnss.latitude : gnss.longitude))),
    channel('gnss.speed', 'm/s', gnssTime, sampled(gnss.speed).map((speed) => Math.round(speed * 100) / 100)),
    channel('gnss.course', 'rad', gnssTime, sampled(gnss.course)),
    channel('implement.working', '1', everySecond, everySecond.map((s) => track.working[s * STEPS_PER_SECOND] as number)),
    channel('drive.speed', 'm/s', everySecond, everySecond.map((s) => wheel.drive[s * STEPS_PER_SECOND] as number)),
    channel('wheel.pulses', 'count', everySecond, pulses),
    channel('wheel.speed', 'm/s', everySecond, everySecond.map((s) => Math.round(shown(s) * 1000) / 1000)),
    channel('wheel.distance', 'm', everySecond, pulses.map((count) => count / entered)),
  ];
  const logged = channels.filter(({ id }) => !id.startsWith('wheel.') || (day.wheel ?? ['wheel.pulses', 'wheel.speed']).some((name) => name === id));
  return { channels: logged, dayStart: dayStart(plan), duration: dayLength(plan), setup: parseSetup(setupFile(plan)).setup };
}

/** Whole pulses at a step; after the loss every 24th no longer comes. */
function counted(pulses: Float64Array, step: number, lostAt: number | undefined): number {
  const whole = Math.floor(pulses[step] as number);
  if (lostAt === undefined || step < lostAt) return whole;
  const lostFrom = Math.floor((pulses[lostAt] as number) / TEETH);
  return whole - (Math.floor(whole / TEETH) - lostFrom);
}

const channel = (id: string, unit: Unit, time: Float64Array, value: Float64Array): Channel => ({ id, unit, source: { file: 'test.csv', column: id }, time, value });
