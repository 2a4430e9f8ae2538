import type { LocalPlane } from './plane.ts';
import { scanLines, fromFrame, type ScanLines } from './scan-lines.ts';
import { simplified, type Point } from './simplify.ts';
import type { Swaths } from './swath.ts';

/** A covered piece of land: its outer ring and the bare islands in it; m east and north, not closed. */
export interface Outline {
  readonly outer: readonly Point[];
  readonly holes: readonly (readonly Point[])[];
  /** m² inside the outer ring less the holes, as drawn. */
  readonly area: number;
}

export interface OutlineOptions {
  /** m between the places looked at; finer detail is lost. Default 1. */
  readonly cell?: number;
  /** m² of the smallest piece and hole drawn. Default 50. */
  readonly smallest?: number;
}

/** Fields far apart are drawn more coarsely, so that memory stays within bounds. */
const MOST_CELLS = 16_000_000;
/** Rings may leave the cell edges by this many cells, so that a slanting edge is no stair. */
const SMOOTHING = 1;

/** The outlines of the covered ground, largest first, for a map: exact to about a cell. */
export function outlinesOf(swaths: Swaths, { cell: wanted = 1, smallest = 50 }: OutlineOptions = {}): readonly Outline[] {
  const cell = Math.max(wanted, Math.sqrt(extentOf(swaths) / MOST_CELLS));
  const lines = scanLines(swaths, { direction: 0, spacing: cell });
  const grid = gridOf(lines);
  if (grid === undefined) return [];
  const rings = ringsOf(grid)
    .map((corners) => simplified([...corners, corners[0] as Point], SMOOTHING).slice(0, -1))
    .map((corners) => corners.map(([x, y]) => fromFrame(lines, (grid.left + x) * cell, (lines.first + y) * cell)))
    .map((points) => ({ points, area: ringArea(points) }))
    .filter(({ area }) => Math.abs(area) >= smallest);
  const outers = rings.filter(({ area }) => area > 0).toSorted((a, b) => b.area - a.area);
  const holes = rings.filter(({ area }) => area < 0);
  /* A hole belongs to the smallest ring round it. */
  const owner = new Map(holes.map((hole) => [hole, outers.findLast(({ points }) => isInside(hole.points[0] as Point, points))]));
  return outers.map((outer) => {
    const its = holes.filter((hole) => owner.get(hole) === outer);
    return { outer: outer.points, holes: its.map(({ points }) => points), area: its.reduce((sum, { area }) => sum + area, outer.area) };
  });
}

/** m² of the rectangle round everything. */
function extentOf({ corners }: Swaths): number {
  const low = [Infinity, Infinity];
  const high = [-Infinity, -Infinity];
  for (let i = 0; i < corners.length; i++) {
    low[i % 2] = Math.min(low[i % 2] as number, corners[i] as number);
    high[i % 2] = Math.max(high[i % 2] as number, corners[i] as number);
  }
  return corners.length === 0 ? 0 : ((high[0] as number) - (low[0] as number)) * ((high[1] as number) - (low[1] as number));
}

interface Grid {
  readonly columns: number;
  readonly rows: number;
  /** Number of the first column; column c covers x from (left + c)·cell. */
  readonly left: number;
  readonly covered: Uint8Array;
}

/** Cells whose middle is covered, with a bare margin of one cell all round. */
function gridOf({ lines, offsets, left, right, spacing }: ScanLines): Grid | undefined {
  if (left.length === 0) return undefined;
  const low = Math.floor(left.reduce((least, x) => Math.min(least, x), Infinity) / spacing) - 1;
  const high = Math.ceil(right.reduce((most, x) => Math.max(most, x), -Infinity) / spacing) + 1;
  const columns = high - low;
  /* Row r stands for line first + r − 1. */
  const covered = new Uint8Array(columns * (lines + 2));
  for (let line = 0; line < lines; line++) {
    for (let i = offsets[line] as number; i < (offsets[line + 1] as number); i++) {
      const from = Math.ceil((left[i] as number) / spacing - low - 0.5);
      const to = Math.ceil((right[i] as number) / spacing - low - 0.5);
      covered.fill(1, (line + 1) * columns + from, (line + 1) * columns + to);
    }
  }
  return { columns, rows: lines + 2, left: low, covered };
}

/** Walks along the cell edges with the covered cells to the left: outer rings anticlockwise, holes clockwise. */
function ringsOf({ columns, rows, covered }: Grid): Point[][] {
  const at = (c: number, r: number): boolean => c >= 0 && r >= 0 && c < columns && r < rows && covered[r * columns + c] === 1;
  const seen = new Uint8Array(columns * rows);
  const rings: Point[][] = [];
  for (let r = 1; r < rows; r++) {
    for (let c = 1; c < columns; c++) {
      /* Every ring has an edge that goes east, with a covered cell above it and a bare one below. */
      if (seen[r * columns + c] === 1 || !at(c, r) || at(c, r - 1)) continue;
      const ring: Point[] = [];
      let [x, y, dx, dy] = [c, r, 1, 0];
      do {
        if (dx === 1) seen[y * columns + x] = 1;
        /* The middles of the edges of a slanting stair lie nearly on a straight line; its corners do not. */
        ring.push([x + dx / 2, y + dy / 2 - 1]);
        x += dx;
        y += dy;
        /* The cells ahead, left and right of the way. */
        const ahead = (side: 1 | -1): boolean => at(x + (dx - 1 - side * dy) / 2, y + (dy - 1 + side * dx) / 2);
        [dx, dy] = !ahead(1) ? [-dy, dx] : ahead(-1) ? [dy, -dx] : [dx, dy];
      } while (x !== c || y !== r || dx !== 1);
      rings.push(ring);
    }
  }
  return rings;
}

/** m², positive when the ring runs anticlockwise. */
export function ringArea(points: readonly Point[]): number {
  let twice = 0;
  for (let i = 0; i < points.length; i++) {
    const [x0, y0] = points[i] as Point;
    const [x1, y1] = points[(i + 1) % points.length] as Point;
    twice += x0 * y1 - x1 * y0;
  }
  return twice / 2;
}

function isInside([x, y]: Point, ring: readonly Point[]): boolean {
  let inside = false;
  for (let i = 0, j = ring.length - 1; i < ring.length; j = i++) {
    const [xi, yi] = ring[i] as Point;
    const [xj, yj] = ring[j] as Point;
    if (yi > y !== yj > y && x < ((xj - xi) * (y - yi)) / (yj - yi) + xi) inside = !inside;
  }
  return inside;
}

/** A ring in degrees, closed, for a map or GeoJSON. */
export function ringInDegrees(points: readonly Point[], plane: LocalPlane): (readonly [longitude: number, latitude: number])[] {
  const ring = points.map(([east, north]) => plane.fromPlane(east, north));
  const [first] = ring;
  return first === undefined ? [] : [...ring, first];
}
