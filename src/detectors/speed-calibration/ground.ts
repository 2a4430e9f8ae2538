import type { Channel } from '../../../shared/channel.ts';
import { planeAround } from '../../field/plane.ts';
import type { Timeline } from '../../episodes/timeline.ts';

/** GNSS ground speed, second by second, m/s along the ground; NaN where the receiver said nothing new. */
export interface GroundSpeed {
  readonly speed: Float64Array;
  readonly channels: readonly string[];
  /** Whether slopes were allowed for: the receiver measures along the level, the wheel along the ground. */
  readonly sloped: boolean;
}

/**
 * Doppler speed when it was logged, else the way between positions. Seconds in which the receiver repeats itself are NaN:
 * a frozen receiver must not look like a wheel fault.
 */
export function groundSpeed(timeline: Timeline, channel: (id: string) => Channel | undefined): GroundSpeed | undefined {
  const doppler = channel('gnss.speed');
  const [latitude, longitude] = [channel('gnss.lat'), channel('gnss.lon')];
  const level = doppler === undefined ? speedFromPositions(timeline) : timeline.mean('gnss.speed');
  if (level === undefined) return undefined;
  const speed = level.slice();
  if (latitude !== undefined && longitude !== undefined && latitude.value.length === longitude.value.length) {
    dropFrozen(speed, latitude.time, latitude.value, longitude.value, 3);
  } else if (doppler !== undefined) {
    dropFrozen(speed, doppler.time, doppler.value, doppler.value, 10);
  }
  const slope = timeline.mean('pitch');
  if (slope !== undefined) stretchBySlope(speed, slope);
  const used = doppler === undefined ? [latitude, longitude] : [doppler];
  return { speed, sloped: slope !== undefined, channels: [...used.flatMap((one) => (one === undefined ? [] : [one.id])), ...(slope === undefined ? [] : ['pitch'])] };
}

/** Samples of which both values stay exactly the same for `longest` seconds: a moving receiver does not do that by itself. */
function dropFrozen(speed: Float64Array, time: Float64Array, one: ArrayLike<number>, other: ArrayLike<number>, longest: number): void {
  let since = 0;
  for (let i = 1; i <= time.length; i++) {
    if (i < time.length && one[i] === one[since] && other[i] === other[since]) continue;
    const start = time[since] as number;
    /* The last sample stood until the next one came. */
    const end = time[Math.min(i, time.length - 1)] as number;
    if (end - start >= longest && i - since >= 3) speed.fill(Number.NaN, Math.max(0, Math.floor(start)), Math.min(speed.length, Math.ceil(end)));
    since = i;
  }
}

function stretchBySlope(speed: Float64Array, pitch: Float64Array): void {
  /* A sensor mounted at an angle adds the same to every reading: what the machine mostly stands at is level. */
  const known = pitch.filter(Number.isFinite).sort();
  const level = known[Math.floor(known.length / 2)];
  if (level === undefined) return;
  for (let k = 0; k < speed.length; k++) {
    const angle = (pitch[k] as number) - level;
    /* Beyond 0.3 rad it is no field. */
    if (Math.abs(angle) < 0.3) speed[k] = (speed[k] as number) / Math.cos(angle);
  }
}

/** m/s from the positions one second before and after, on the ellipsoid: a sphere is 0.3 % wrong in east–west passes at 52° N. */
function speedFromPositions(timeline: Timeline): Float64Array | undefined {
  const [latitude, longitude] = [timeline.mean('gnss.lat'), timeline.mean('gnss.lon')];
  if (latitude === undefined || longitude === undefined) return undefined;
  const plane = planeAround(latitude, longitude);
  if (plane === undefined) return undefined;
  const at = (k: number): readonly [number, number] => plane.toPlane(latitude[k] as number, longitude[k] as number);
  const speed = new Float64Array(timeline.length).fill(Number.NaN);
  for (let k = 1; k + 1 < timeline.length; k++) {
    const [[east, north], [eastNext, northNext]] = [at(k - 1), at(k + 1)];
    speed[k] = Math.hypot(eastNext - east, northNext - north) / 2;
  }
  return speed;
}
