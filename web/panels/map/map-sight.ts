import type { Field } from './field-store.ts';

/** What of the field is in sight: its middle in m, CSS pixels per m, and the picture's size. North is up. */
export interface Sight {
  readonly east: number;
  readonly north: number;
  readonly scale: number;
  readonly width: number;
  readonly height: number;
}

const MARGIN = 24;
/** px per m: a row is a hand wide; the whole county. */
const CLOSEST = 60;
const WIDEST = 0.002;

export function fit({ west, east, south, north }: Field['bounds'], width: number, height: number): Sight {
  const scale = Math.min((width - 2 * MARGIN) / Math.max(10, east - west), (height - 2 * MARGIN - 24) / Math.max(10, north - south));
  return { east: (west + east) / 2, north: (south + north) / 2 - 10 / scale, scale: Math.max(WIDEST, scale), width, height };
}

export const toX = (sight: Sight, east: number): number => sight.width / 2 + (east - sight.east) * sight.scale;
export const toY = (sight: Sight, north: number): number => sight.height / 2 - (north - sight.north) * sight.scale;
export const toPlane = (sight: Sight, x: number, y: number): readonly [number, number] => [sight.east + (x - sight.width / 2) / sight.scale, sight.north - (y - sight.height / 2) / sight.scale];

export function moved(sight: Sight, dx: number, dy: number): Sight {
  return { ...sight, east: sight.east - dx / sight.scale, north: sight.north + dy / sight.scale };
}

/** The place under (x, y) stays there. */
export function zoomed(sight: Sight, factor: number, x = sight.width / 2, y = sight.height / 2): Sight {
  const [east, north] = toPlane(sight, x, y);
  const scale = Math.min(CLOSEST, Math.max(WIDEST, sight.scale * factor));
  return { ...sight, scale, east: east - (x - sight.width / 2) / scale, north: north + (y - sight.height / 2) / scale };
}
