import type { Channel } from '../../../shared/channel.ts';
import { emptySetup, type Setup } from '../../../shared/setup.ts';
import type { Unit } from '../../../shared/units.ts';
import { createRandom } from '../../../src/series/random.ts';
import type { TestDay } from '../../support/detector-tester.ts';

/** Passes of six minutes with 25 s turns; a fan at 3,600 rpm that dips at lifts. Noise 0.7 % of rpm, 2 % of pressure: common practice, no source. */
export interface FanTestDay {
  readonly hours?: number;
  /** rpm entered for the product; 0 = none entered. */
  readonly floor?: number;
  readonly withTarget?: boolean;
  readonly withPressure?: boolean;
  readonly withMeter?: boolean;
  /** True speed of the fan as a share of 3,600 rpm, at a second in which it runs. */
  readonly share?: (time: number, random: () => number) => number;
  /** What the sensor makes of it. */
  readonly shown?: (rpm: number, time: number) => number;
  /** Commanded rpm. */
  readonly command?: (time: number) => number;
  /** K, and rpm; undefined = not logged. */
  readonly oil?: (time: number) => number;
  readonly engine?: (time: number) => number;
  /** s at which the fan is stopped and started again, e.g. for a fill; the machine stands meanwhile. */
  readonly stops?: readonly (readonly [number, number])[];
  /** s at which the fan is stopped although the meter turns. */
  readonly forgotten?: readonly [number, number];
  /** Samples per second. */
  readonly rate?: 1 | 2 | 5;
}

const PASS = 360;
const TURN = 25;
const COMMAND = 3600;
const PRESSURE = 4100;

export function fanTestDay(day: FanTestDay, seed: number): TestDay {
  const random = createRandom(seed);
  const seconds = Math.round((day.hours ?? 2) * 3600);
  const rate = day.rate ?? 1;
  const standing = (time: number): boolean => (day.stops ?? []).some(([start, end]) => start - 20 <= time && time < end + 60);
  const off = (time: number): boolean => [...(day.stops ?? []), ...(day.forgotten === undefined ? [] : [day.forgotten])].some(([start, end]) => start <= time && time < end);
  const working = (time: number): boolean => !standing(time) && time >= 120 && (time - 120) % (PASS + TURN) < PASS;
  const command = (time: number): number => (off(time) ? 0 : day.command?.(time) ?? COMMAND);
  const [rpm, pressure] = [new Float64Array(seconds * rate), new Float64Array(seconds * rate)];
  let state = COMMAND;
  let dipUntil = -1;
  for (let i = 0; i < rpm.length; i++) {
    const time = i / rate;
    if (working(time) !== working(time - 1 / rate)) dipUntil = time + 2 + 2 * random.next();
    const wanted = off(time) ? 0 : COMMAND * (day.share?.(time, random.normal) ?? 1) - (time < dipUntil ? 450 : 0);
    /* Runs down over 15 s, comes up over 6 s. */
    const tau = wanted === 0 ? 15 : state < 0.8 * wanted ? 6 : 0.3;
    state += (wanted - state) * (1 - Math.exp(-1 / rate / tau));
    const real = state < 40 ? 0 : state;
    const seen = real === 0 ? 0 : real + 25 * random.normal();
    rpm[i] = day.shown?.(seen, time) ?? seen;
    pressure[i] = PRESSURE * (real / COMMAND) ** 2 * (1 + 0.02 * random.normal());
  }
  const time = Float64Array.from(rpm, (_, i) => i / rate);
  const every = Float64Array.from({ length: seconds }, (_, s) => s);
  const perSecond = (value: (second: number) => number): Float64Array => every.map(value);
  const channels: Channel[] = [
    channel('fan.1.speed', 'rpm', time, rpm),
    channel('gnss.speed', 'm/s', every, perSecond((s) => (standing(s) ? 0 : working(s) ? 2.22 : 1.6) + (standing(s) ? 0 : 0.02 * random.normal()))),
    channel('implement.working', '1', every, perSecond((s) => (working(s) ? 1 : 0))),
    ...(day.withTarget === false ? [] : [channel('fan.1.target', 'rpm', every, perSecond(command))]),
    ...(day.withPressure === false ? [] : [channel('tank.1.pressure', 'Pa', time, pressure)]),
    ...(day.withMeter === false ? [] : [channel('meter.1.speed', 'rpm', every, perSecond((s) => (working(s) ? 40 : 0)))]),
    ...(day.oil === undefined ? [] : [channel('oil.temperature', 'K', every, perSecond(day.oil))]),
    ...(day.engine === undefined ? [] : [channel('engine.speed', 'rpm', every, perSecond((s) => (day.engine?.(s) ?? 0) + 25 * random.normal()))]),
  ];
  return { channels, duration: seconds, setup: setupWith(day.floor ?? 3200) };
}

function setupWith(floor: number): Setup {
  return {
    machine: { ...emptySetup.machine, workingWidth: 18, tanks: [{ id: '1', meter: '1' }], meters: [{ id: '1' }], fans: [{ id: '1' }] },
    job: { ...emptySetup.job, products: [{ tank: '1', name: 'wheat', fan: '1', ...(floor === 0 ? {} : { fanFloor: floor }) }] },
  };
}

const channel = (id: string, unit: Unit, time: Float64Array, value: Float64Array): Channel => ({ id, unit, source: { file: 'fan.csv', column: id }, time, value });
