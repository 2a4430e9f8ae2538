import type { Span } from '../../../shared/span.ts';
import { median } from '../../series/robust.ts';
import { massBlocks, massLine } from './mass-line.ts';
import type { TankTrack } from './tank-track.ts';
import type { TicketedFill } from './tickets.ts';

/** Share by which a reading changes per radian of pitch, side load on the cells: 0.15 % per degree, trade.md f.1, from memory. */
const SIDE_LOAD = 0.0015 * (180 / Math.PI);
/** kg, slow wander on level ground, with some reserve (scenarios.md section 0: 6 kg, from memory). */
const LEVEL_WANDER = 7.5;
/** Standard deviation of a 20 s mean of bounce that forgets itself in 1.5 s, as a share of that of its one-second changes. */
const BOUNCE_LEFT = 0.45;
/** kg on the cells of an empty tank, as a share of its capacity, where nothing better is known. Common practice, no source. */
const TARE_SHARE = 0.3;
const USUAL_CAPACITY = 4000;

/** How uneven the ground is that a tank was weighed on, as its scale shows it. */
export interface Unevenness {
  /** rad, typical tilt. */
  readonly tilt: number;
  /** Relative scatter that tilt brings to a reading. */
  readonly scatter: number;
}

/** s; tilt comes and goes within this time, everything else a straight line can follow. */
const PIECE = 1800;

/**
 * Ground tilts a moving cart: what its readings scatter about a line through half an hour, beyond bounce and wander, is put down to
 * that. The median over the half hours, so that other trouble does not count.
 */
export function unevenness(track: TankTrack, stretches: readonly Span[]): Unevenness {
  const pieces = stretches.flatMap(({ start, end }) => {
    const count = Math.max(1, Math.round((end - start) / PIECE));
    return Array.from({ length: count }, (_, i) => ({ start: start + (i * (end - start)) / count, end: start + ((i + 1) * (end - start)) / count }));
  });
  const tare = TARE_SHARE * (track.tank.capacity ?? USUAL_CAPACITY);
  const scatters = pieces.flatMap((piece) => {
    const line = massLine(massBlocks(track, [piece], { blockSeconds: 20, leastShare: 0.6 }));
    if (line === undefined || line.blocks.length < 30) return [];
    const load = line.blocks.reduce((sum, { mass }) => sum + Math.max(0, mass), 0) / line.blocks.length + tare;
    return Math.sqrt(Math.max(0, line.scatter ** 2 - LEVEL_WANDER ** 2 - (BOUNCE_LEFT * bounce(track.mass, piece)) ** 2)) / load;
  });
  const scatter = scatters.length === 0 ? 0 : median(scatters);
  return { scatter, tilt: scatter / SIDE_LOAD };
}

/** Standard deviation of the one-second changes of a reading, kg. */
function bounce(mass: Float64Array, { start, end }: Span): number {
  let squares = 0;
  let n = 0;
  for (let k = Math.floor(start) + 1; k < Math.min(mass.length, end); k++) {
    const change = (mass[k] as number) - (mass[k - 1] as number);
    if (!Number.isFinite(change)) continue;
    squares += change * change;
    n++;
  }
  return Math.sqrt(squares / Math.max(1, n));
}

/** What standing off level does to loads: to each for itself, and to all alike (the same yard, the cosine). Relative standard uncertainties. */
export interface TiltOfLoads {
  readonly each: readonly number[];
  readonly all: number;
}

/**
 * By the pitch the cart stood at, where that is logged. Else by how uneven the ground is, to each load and, in the same yard, to all;
 * the cosine always makes a reading smaller.
 */
export function tiltOfLoads(track: TankTrack, booked: readonly TicketedFill[], stretches: readonly Span[]): TiltOfLoads {
  const { pitch } = track;
  if (pitch !== undefined) {
    const each = booked.map(({ fills }) => SIDE_LOAD * Math.max(...fills.map((fill) => tiltIn(pitch, fill))));
    return { each, all: 0 };
  }
  const { scatter, tilt } = unevenness(track, stretches);
  return { each: booked.map(() => scatter * Math.SQRT1_2), all: Math.hypot(scatter, tilt ** 2 / 2) };
}

function tiltIn(pitch: Float64Array, { start, end }: Span): number {
  const known = pitch.subarray(Math.floor(start), Math.ceil(end)).filter(Number.isFinite);
  return known.length === 0 ? 0 : known.reduce((sum, value) => sum + Math.abs(value), 0) / known.length;
}
