import { columnOf, decodePack } from '../../../shared/column-pack.ts';
import type { FieldMapMeta } from '../../../shared/day-views.ts';
import { countUpTo } from '../../../shared/ascending.ts';

/** A stretch of pieces that touch, one behind the other. */
export interface Ribbon {
  readonly first: number;
  /** Not part of it. */
  readonly end: number;
}

/** The field as fetched: m east and north of its origin, s from the day's start. */
export interface Field extends FieldMapMeta {
  readonly time: Float64Array;
  readonly east: Float32Array;
  readonly north: Float32Array;
  readonly heading: Float32Array;
  readonly broken: Uint8Array;
  readonly pieceTime: Float64Array;
  readonly corner: Float32Array;
  readonly ribbons: readonly Ribbon[];
  readonly bounds: { readonly west: number; readonly east: number; readonly south: number; readonly north: number };
}

/** Undefined when the log has no positions. */
export async function fetchField(day: string): Promise<Field | undefined> {
  const response = await fetch(`/api/days/${encodeURIComponent(day)}/map`);
  if (response.status === 204) return undefined;
  if (!response.ok) throw new Error(`answered ${response.status}`);
  const pack = decodePack<FieldMapMeta>(await response.arrayBuffer());
  const [east, north] = [columnOf(pack, 'east', Float32Array), columnOf(pack, 'north', Float32Array)];
  const [pieceTime, corner] = [columnOf(pack, 'pieceTime', Float64Array), columnOf(pack, 'corner', Float32Array)];
  return {
    ...pack.meta, east, north, pieceTime, corner,
    time: columnOf(pack, 'time', Float64Array), heading: columnOf(pack, 'heading', Float32Array), broken: columnOf(pack, 'broken', Uint8Array),
    ribbons: ribbonsOf(corner, pieceTime.length), bounds: boundsOf(corner.length > 0 ? corner : interleaved(east, north)),
  };
}

/** A value per piece of covered ground, SI; NaN = none known. */
export async function fetchColour(day: string, by: 'channel' | 'rate', of: string): Promise<Float32Array> {
  const response = await fetch(`/api/days/${encodeURIComponent(day)}/map/colour?${new URLSearchParams({ by, of })}`);
  if (!response.ok) throw new Error(`answered ${response.status}`);
  return columnOf(decodePack(await response.arrayBuffer()), 'value', Float32Array);
}

/** m; a piece starts where the one before ended. */
const TOUCHING = 0.1;

function ribbonsOf(corner: Float32Array, pieces: number): readonly Ribbon[] {
  const ribbons: Ribbon[] = [];
  const at = (piece: number, k: number): number => corner[piece * 8 + k] as number;
  let first = 0;
  for (let piece = 1; piece <= pieces; piece++) {
    const touches = piece < pieces
      && Math.abs(at(piece, 0) - at(piece - 1, 6)) < TOUCHING && Math.abs(at(piece, 1) - at(piece - 1, 7)) < TOUCHING
      && Math.abs(at(piece, 2) - at(piece - 1, 4)) < TOUCHING && Math.abs(at(piece, 3) - at(piece - 1, 5)) < TOUCHING;
    if (touches) continue;
    ribbons.push({ first, end: piece });
    first = piece;
  }
  return pieces === 0 ? [] : ribbons;
}

function boundsOf(points: Float32Array): Field['bounds'] {
  let [west, east, south, north] = [Infinity, -Infinity, Infinity, -Infinity];
  for (let i = 0; i + 1 < points.length; i += 2) {
    west = Math.min(west, points[i] as number);
    east = Math.max(east, points[i] as number);
    south = Math.min(south, points[i + 1] as number);
    north = Math.max(north, points[i + 1] as number);
  }
  return Number.isFinite(west) ? { west, east, south, north } : { west: 0, east: 1, south: 0, north: 1 };
}

function interleaved(east: Float32Array, north: Float32Array): Float32Array {
  const points = new Float32Array(east.length * 2);
  east.forEach((each, i) => {
    points[2 * i] = each;
    points[2 * i + 1] = north[i] as number;
  });
  return points;
}

export interface Place {
  readonly east: number;
  readonly north: number;
  /** rad from north, clockwise */
  readonly heading: number;
}

/** Where the machine was; undefined where that is not known. */
export function placeAt({ time, east, north, heading, broken }: Field, at: number): Place | undefined {
  const i = countUpTo(time, at) - 1;
  if (i < 0) return undefined;
  const [start, angle] = [time[i] as number, heading[i] as number];
  if (i + 1 >= time.length || broken[i + 1] === 1) return at - start <= 1.5 ? { east: east[i] as number, north: north[i] as number, heading: angle } : undefined;
  const share = (at - start) / ((time[i + 1] as number) - start);
  const turn = (heading[i + 1] as number) - angle;
  return {
    east: (east[i] as number) * (1 - share) + (east[i + 1] as number) * share,
    north: (north[i] as number) * (1 - share) + (north[i + 1] as number) * share,
    heading: angle + share * (turn - 2 * Math.PI * Math.round(turn / (2 * Math.PI))),
  };
}

/** When the machine was nearest to a place, if it came within `reach` m. */
export function timeNear({ time, east, north }: Field, [e, n]: readonly [number, number], reach: number): number | undefined {
  let best: number | undefined;
  let least = reach * reach;
  for (let i = 0; i < time.length; i++) {
    const away = ((east[i] as number) - e) ** 2 + ((north[i] as number) - n) ** 2;
    if (away >= least) continue;
    least = away;
    best = time[i];
  }
  return best;
}
