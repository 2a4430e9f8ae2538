import { indexAtOrBefore } from '../series/resample.ts';
import type { AntennaTrack } from './track.ts';

/** m from the antenna to the middle of the openers: behind it, and to its right. */
export interface Mount {
  readonly aft: number;
  readonly right: number;
}

/** The way of the middle of the openers; `heading` in rad from north, clockwise. */
export interface OpenerPath extends AntennaTrack {
  readonly heading: Float64Array;
}

/** The direction of travel is taken over at least this way, m, and at most this time either side, s. */
const BASE = 4;
const LONGEST_REACH = 5;
/** m; less movement than this has no direction. */
const LEAST_MOVE = 0.5;
/** A machine that 'backs up' for longer than this was headed that way all along, s. */
const LONGEST_REVERSE = 60;

/**
 * The openers follow straight behind the tractor's heading, as on a pass; in tight turns a towed drill cuts the corner
 * more than this says, but there it is lifted. Backing up keeps the heading.
 */
export function openerPath(track: AntennaTrack, { aft, right }: Mount): OpenerPath {
  const heading = headingsOf(track);
  const east = track.east.map((e, i) => e - aft * Math.sin(heading[i] as number) + right * Math.cos(heading[i] as number));
  const north = track.north.map((n, i) => n - aft * Math.cos(heading[i] as number) - right * Math.sin(heading[i] as number));
  return { ...track, east, north, heading };
}

function headingsOf(track: AntennaTrack): Float64Array {
  const headings = new Float64Array(track.time.length);
  let last = Number.NaN;
  let backing = 0;
  for (let i = 0; i < headings.length; i++) {
    if (track.broken[i] === 1) last = Number.NaN;
    const travel = travelAt(track, i);
    const pause = i === 0 || track.broken[i] === 1 ? 0 : (track.time[i] as number) - (track.time[i - 1] as number);
    const isBack = Math.cos(travel - last) < 0;
    if (!Number.isNaN(travel)) {
      backing = isBack ? backing + pause : 0;
      last = isBack && backing < LONGEST_REVERSE ? travel + Math.PI : travel;
    }
    headings[i] = last;
  }
  /* Before the first movement after a break: as it then moved. */
  for (let i = headings.length - 2; i >= 0; i--) {
    if (Number.isNaN(headings[i] as number) && track.broken[i + 1] !== 1) headings[i] = headings[i + 1] as number;
  }
  return headings.map((each) => (Number.isNaN(each) ? 0 : each));
}

/** Direction of travel round a place, rad; NaN when it hardly moves. */
function travelAt({ time, east, north, broken }: AntennaTrack, i: number): number {
  let from = i;
  let to = i;
  const way = (): number => Math.hypot((east[to] as number) - (east[from] as number), (north[to] as number) - (north[from] as number));
  while (way() < BASE) {
    const canBack = from > 0 && broken[from] !== 1 && (time[i] as number) - (time[from - 1] as number) <= LONGEST_REACH;
    const canGo = to + 1 < time.length && broken[to + 1] !== 1 && (time[to + 1] as number) - (time[i] as number) <= LONGEST_REACH;
    if (!canBack && !canGo) break;
    if (canBack) from--;
    if (canGo) to++;
  }
  return way() < LEAST_MOVE ? Number.NaN : Math.atan2((east[to] as number) - (east[from] as number), (north[to] as number) - (north[from] as number));
}

/** Place and heading at a time, linear between neighbours; undefined where the track is broken. */
export function placeAt(path: OpenerPath, time: number): { readonly east: number; readonly north: number; readonly heading: number } | undefined {
  const i = indexAtOrBefore(path.time, time);
  if (i < 0) return undefined;
  const known = { east: path.east[i] as number, north: path.north[i] as number, heading: path.heading[i] as number };
  if (path.time[i] === time) return known;
  if (i + 1 >= path.time.length || path.broken[i + 1] === 1) return undefined;
  const share = (time - (path.time[i] as number)) / ((path.time[i + 1] as number) - (path.time[i] as number));
  const turn = (path.heading[i + 1] as number) - known.heading;
  return {
    east: known.east * (1 - share) + (path.east[i + 1] as number) * share,
    north: known.north * (1 - share) + (path.north[i + 1] as number) * share,
    heading: known.heading + share * (turn - 2 * Math.PI * Math.round(turn / (2 * Math.PI))),
  };
}
