import type { Channel } from '../../shared/channel.ts';
import type { Unit } from '../../shared/units.ts';
import { emptySetup, type Setup } from '../../shared/setup.ts';
import { createEpisodes } from '../../src/episodes/create-episodes.ts';
import { createTimeline } from '../../src/episodes/create-timeline.ts';
import type { Episodes } from '../../src/episodes/episodes.ts';
import { createRandom } from '../support/world/random.ts';

/** A channel of hand-picked samples. */
export function channelOf(id: string, samples: readonly (readonly [time: number, value: number])[], unit: Unit = '1', file = 'hand.csv'): Channel {
  return {
    id, unit, source: { file },
    time: Float64Array.from(samples, ([time]) => time),
    value: Float64Array.from(samples, ([, value]) => value),
  };
}

/** A channel sampled every `interval` s from `interval / 2` on. */
export function sampled(id: string, unit: Unit, seconds: number, interval: number, value: (time: number) => number, file = 'hand.csv'): Channel {
  const n = Math.floor(seconds / interval);
  const time = Float64Array.from({ length: n }, (_, i) => (i + 0.5) * interval);
  return { id, unit, source: { file }, time, value: Float64Array.from(time, value) };
}

/** Without the samples in [start, end). */
export function withGap(channel: Channel, start: number, end: number): Channel {
  const kept = [...channel.time.keys()].filter((i) => !((channel.time[i] as number) >= start && (channel.time[i] as number) < end));
  return { ...channel, time: Float64Array.from(kept, (i) => channel.time[i] as number), value: Float64Array.from(kept, (i) => channel.value[i] as number) };
}

export function episodesOf(channels: readonly Channel[], duration: number, setup: Setup = emptySetup): Episodes {
  return createEpisodes({ channels }, setup, createTimeline({ channels, duration }));
}

export interface Leg {
  readonly seconds: number;
  /** m/s reached at once. */
  readonly speed: number;
  /** rad/s, clockwise. */
  readonly yaw?: number;
  readonly lowered?: boolean;
}

export interface Drive {
  readonly seconds: number;
  readonly speed: (time: number) => number;
  readonly lowered: (time: number) => number;
  /** GNSS speed, course and position at 5 Hz and the lift switch at 1 Hz, with the noise of a good receiver. */
  readonly channels: readonly Channel[];
  /** s at which each leg starts. */
  readonly starts: readonly number[];
}

const STEP = 0.2;

/** Drives legs one after the other from a point in the open ocean, heading north. */
export function drive(legs: readonly Leg[], seed = 1): Drive {
  const random = createRandom(seed, 'drive');
  const starts: number[] = [];
  let seconds = 0;
  for (const leg of legs) {
    starts.push(seconds);
    seconds += leg.seconds;
  }
  const legAt = (t: number): Leg => legs[starts.findLastIndex((start) => start <= t)] ?? { seconds: 0, speed: 0 };
  const rows = { time: [] as number[], speed: [] as number[], course: [] as number[], lat: [] as number[], lon: [] as number[] };
  let heading = 0;
  let [north, east] = [0, 0];
  for (let i = 0; i * STEP < seconds; i++) {
    const { speed, yaw = 0 } = legAt(i * STEP);
    const across = 0.035 * random.normal();
    const shown = speed === 0 ? Math.abs(0.02 * random.normal()) : speed + 0.035 * random.normal();
    const course = speed === 0 ? 2 * Math.PI * random.uniform() : heading + across / speed;
    rows.time.push(i * STEP);
    rows.speed.push(shown);
    rows.course.push(course - 2 * Math.PI * Math.floor(course / (2 * Math.PI)));
    rows.lat.push(0.5 + (north + 0.02 * random.normal()) / 110_574.8);
    rows.lon.push(-30 + (east + 0.02 * random.normal()) / 111_315.3);
    north += Math.cos(heading) * speed * STEP;
    east += Math.sin(heading) * speed * STEP;
    heading += yaw * STEP;
  }
  const column = (id: string, unit: Unit, values: readonly number[]): Channel => channelOf(id, rows.time.map((t, i) => [t, values[i] ?? Number.NaN]), unit, 'tractor.csv');
  const lowered = (t: number): number => (legAt(t).lowered === true ? 1 : 0);
  return {
    seconds, starts, lowered,
    speed: (t) => legAt(t).speed,
    channels: [
      column('gnss.speed', 'm/s', rows.speed), column('gnss.course', 'rad', rows.course),
      column('gnss.lat', 'deg', rows.lat), column('gnss.lon', 'deg', rows.lon),
      sampled('implement.working', '1', seconds, 1, lowered, 'tractor.csv'),
    ],
  };
}

export interface ScaleLife {
  /** kg truly in the tank. */
  readonly load: (time: number) => number;
  /** kg the reading is off: tilt, wind, people, a zeroed scale. */
  readonly error?: (time: number) => number;
  /** kg, standard deviation of single seconds. */
  readonly noise: (time: number) => number;
  /** kg, slow wander, τ 180 s. */
  readonly wander?: number;
}

/** A 1 Hz scale in 5 kg steps. */
export function scaleChannel(tank: string, seconds: number, { load, error = () => 0, noise, wander = 6 }: ScaleLife, seed = 1): Channel {
  const random = createRandom(seed, `tank ${tank}`);
  let slow = wander * random.normal();
  let fast = random.normal();
  return sampled(`tank.${tank}.mass`, 'kg', seconds, 1, (t) => {
    slow = slow * Math.exp(-1 / 180) + wander * Math.sqrt(1 - Math.exp(-2 / 180)) * random.normal();
    fast = fast * Math.exp(-1 / 1.5) + Math.sqrt(1 - Math.exp(-2 / 1.5)) * random.normal();
    return 5 * Math.round((load(t) + error(t) + slow + noise(t) * fast) / 5);
  }, 'cart.csv');
}

/** 0 before `start`, 1 after `end`, a straight ramp between. */
export const ramp = (start: number, end: number) => (t: number): number => Math.min(1, Math.max(0, (t - start) / (end - start)));
