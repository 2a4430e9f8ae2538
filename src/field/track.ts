import type { Channel } from '../../shared/channel.ts';
import { valueAt } from '../series/resample.ts';
import { localPlane, planeAround, type LocalPlane } from './plane.ts';

/** Where the antenna was, about once a second, on a local plane: m east and north. Only known places are listed. */
export interface AntennaTrack {
  readonly plane: LocalPlane;
  /** s from the day's start, ascending. */
  readonly time: Float64Array;
  readonly east: Float64Array;
  readonly north: Float64Array;
  /** 1 where the track broke off before this place: a pause of more than 3 s, or a jump no machine makes. */
  readonly broken: Uint8Array;
}

/** s */
const LONGEST_PAUSE = 3;
/** m/s, and m that any receiver may hop: a frozen receiver that comes back, or one that lost its corrections. */
const FASTEST = 8;
const HOP = 3;
/** m from the origin: no day's work goes so far, but a receiver without a fix may report 0° N 0° E. */
const FURTHEST = 300_000;

/** Means over each second, with the mean of the sample times, so that a 5 Hz and a 1 Hz receiver are equally right. */
export function antennaTrack(
  latitude: Pick<Channel, 'time' | 'value'>,
  longitude: Pick<Channel, 'time' | 'value'>,
  plane: LocalPlane = planeAround(latitude.value, longitude.value) ?? localPlane(0, 0),
): AntennaTrack {
  const seconds = latitude.time.length === 0 ? 0 : Math.ceil(Math.min(latitude.time.length, (latitude.time.at(-1) ?? 0) - (latitude.time[0] ?? 0) + 2));
  const time = new Float64Array(seconds);
  const east = new Float64Array(seconds);
  const north = new Float64Array(seconds);
  const paired = latitude.time.length === longitude.time.length && latitude.time.every((t, i) => t === longitude.time[i]);
  let count = 0;
  let second = Number.NaN;
  let samples = 0;
  for (let i = 0; i < latitude.time.length; i++) {
    const t = latitude.time[i] as number;
    const lon = paired ? (longitude.value[i] as number) : valueAt(longitude.time, longitude.value, t);
    const [e, n] = plane.toPlane(latitude.value[i] as number, lon);
    if (!(Math.abs(e) < FURTHEST && Math.abs(n) < FURTHEST)) continue;
    if (Math.floor(t) !== second) {
      second = Math.floor(t);
      samples = 0;
      count++;
    }
    const share = 1 / ++samples;
    const at = count - 1;
    time[at] = (time[at] as number) + (t - (time[at] as number)) * share;
    east[at] = (east[at] as number) + (e - (east[at] as number)) * share;
    north[at] = (north[at] as number) + (n - (north[at] as number)) * share;
  }
  const known = { time: time.slice(0, count), east: east.slice(0, count), north: north.slice(0, count) };
  return { plane, ...known, broken: breaksOf(known) };
}

function breaksOf({ time, east, north }: Pick<AntennaTrack, 'time' | 'east' | 'north'>): Uint8Array {
  const broken = new Uint8Array(time.length);
  for (let i = 0; i < time.length; i++) {
    const pause = (time[i] as number) - (time[i - 1] ?? Number.NEGATIVE_INFINITY);
    const way = i === 0 ? 0 : Math.hypot((east[i] as number) - (east[i - 1] as number), (north[i] as number) - (north[i - 1] as number));
    broken[i] = pause > LONGEST_PAUSE || way > FASTEST * pause + HOP ? 1 : 0;
  }
  return broken;
}
