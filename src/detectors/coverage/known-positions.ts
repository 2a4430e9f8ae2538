import type { Channel } from '../../../shared/channel.ts';
import type { Span } from '../../../shared/span.ts';
import { createFloat64Builder } from '../../core/column-builder.ts';
import { localPlane } from '../../field/plane.ts';
import { valueAt } from '../../series/resample.ts';
import { contains } from '../../series/spans.ts';

export interface Positions {
  readonly latitude: Pick<Channel, 'time' | 'value'>;
  readonly longitude: Pick<Channel, 'time' | 'value'>;
}

/** m/s no drill at work exceeds. */
const FASTEST = 6;
/** s; a shorter pause between two places need not be filled. */
const SHORTEST = 2;

/**
 * Positions fit for measuring ground, one a second (the mean of its samples): without the stretches in which the receiver
 * could not be trusted, and with straight lines over pauses shorter than `bridge` m, where the machine went on beyond
 * doubt: a hole in the log is no hole in the field.
 */
export function knownPositions(latitude: Channel, longitude: Channel, lost: readonly Span[], bridge: number): Positions {
  const [time, lat, lon] = [createFloat64Builder(), createFloat64Builder(), createFloat64Builder()];
  const put = (t: number, north: number, east: number): void => {
    time.push(t);
    lat.push(north);
    lon.push(east);
  };
  const last = { time: Number.NaN, lat: Number.NaN, lon: Number.NaN };
  const second = { number: Number.NaN, samples: 0, time: 0, lat: 0, lon: 0 };
  const finish = (): void => {
    if (second.samples > 0) {
      const here = { time: second.time / second.samples, lat: second.lat / second.samples, lon: second.lon / second.samples };
      if (here.time - last.time > SHORTEST) bridged(last, here, bridge).forEach((each) => put(...each));
      put(here.time, here.lat, here.lon);
      Object.assign(last, here);
    }
    Object.assign(second, { samples: 0, time: 0, lat: 0, lon: 0 });
  };
  const paired = latitude.time.length === longitude.time.length && latitude.time.every((t, i) => t === longitude.time[i]);
  for (let i = 0; i < latitude.time.length; i++) {
    const t = latitude.time[i] as number;
    const north = latitude.value[i] as number;
    const east = paired ? (longitude.value[i] as number) : valueAt(longitude.time, longitude.value, t);
    if (Number.isNaN(north + east) || (lost.length > 0 && contains(lost, t))) continue;
    const number = Math.floor(t);
    /* Means only of neighbours: not over the jump from 180° east to 180° west. */
    if (number !== second.number || Math.abs(east - second.lon / second.samples) > 1) finish();
    second.number = number;
    second.samples++;
    second.time += t;
    second.lat += north;
    second.lon += east;
  }
  finish();
  const times = time.finish();
  return { latitude: { time: times, value: lat.finish() }, longitude: { time: times, value: lon.finish() } };
}

interface Fix {
  readonly time: number;
  readonly lat: number;
  readonly lon: number;
}

/** Places a second apart on the straight line over a pause; none when it is too long for that. */
function bridged(from: Fix, to: Fix, longest: number): (readonly [time: number, lat: number, lon: number])[] {
  const pause = to.time - from.time;
  const way = Math.hypot(...localPlane(from.lat, from.lon).toPlane(to.lat, to.lon));
  if (!(way <= Math.min(longest, FASTEST * pause))) return [];
  const steps = Math.floor(pause);
  return Array.from({ length: Math.max(0, steps - 1) }, (_, i) => {
    const share = (i + 1) / steps;
    return [from.time + pause * share, from.lat + (to.lat - from.lat) * share, from.lon + (to.lon - from.lon) * share] as const;
  });
}
