import type { Swaths } from './swath.ts';

/*
 * Areas are measured on parallel lines: where a line crosses a swath is known exactly, so that only the spacing of the
 * lines is a rounding, and no edge of a pass runs along a line when the lines are turned a little against the passes.
 */

/** Turned axes: x along the lines, y across them. */
export interface Frame {
  /** rad, clockwise from north: the direction of y. */
  readonly direction: number;
  /** m between lines; line j lies at y = (j + ½)·spacing. */
  readonly spacing: number;
}

/** Where each line crosses each swath, line after line, in time order on each. */
export interface ScanLines extends Frame {
  /** Number of the first line. */
  readonly first: number;
  readonly lines: number;
  /** Index of each line's first crossing; one more than there are lines. */
  readonly offsets: Uint32Array;
  /** m along the line, left <= right. */
  readonly left: Float64Array;
  readonly right: Float64Array;
  /** Index of the swath crossed. */
  readonly swath: Uint32Array;
  /** Whether the crossing's left (bit 1) and right (bit 2) end lies on a side of the swath, rather than its front or rear. */
  readonly sides: Uint8Array;
}

export function scanLines({ count, corners }: Swaths, frame: Frame): ScanLines {
  const { spacing } = frame;
  const turned = inFrame(corners, frame);
  const lowest = new Int32Array(count);
  const highest = new Int32Array(count);
  let first = 0;
  let last = -1;
  for (let s = 0; s < count; s++) {
    const y0 = turned[8 * s + 1] as number;
    const y1 = turned[8 * s + 3] as number;
    const y2 = turned[8 * s + 5] as number;
    const y3 = turned[8 * s + 7] as number;
    const low = Math.ceil(Math.min(y0, y1, y2, y3) / spacing - 0.5);
    const high = Math.ceil(Math.max(y0, y1, y2, y3) / spacing - 0.5) - 1;
    lowest[s] = low;
    highest[s] = high;
    if (high < low) continue;
    if (last < first) [first, last] = [low, high];
    first = Math.min(first, low);
    last = Math.max(last, high);
  }
  const lines = last - first + 1;
  const offsets = new Uint32Array(lines + 1);
  for (let s = 0; s < count; s++) {
    for (let j = lowest[s] as number; j <= (highest[s] as number); j++) offsets[j - first + 1] = (offsets[j - first + 1] as number) + 1;
  }
  for (let j = 0; j < lines; j++) offsets[j + 1] = (offsets[j + 1] as number) + (offsets[j] as number);
  const next = offsets.slice();
  const total = offsets[lines] as number;
  const left = new Float64Array(total);
  const right = new Float64Array(total);
  const swath = new Uint32Array(total);
  const sides = new Uint8Array(total);
  for (let s = 0; s < count; s++) {
    for (let j = lowest[s] as number; j <= (highest[s] as number); j++) {
      const y = (j + 0.5) * spacing;
      let low = Infinity;
      let high = -Infinity;
      let lowEdge = 0;
      let highEdge = 0;
      for (let edge = 0; edge < 4; edge++) {
        const a = 8 * s + 2 * edge;
        const b = 8 * s + 2 * ((edge + 1) % 4);
        const ya = turned[a + 1] as number;
        const yb = turned[b + 1] as number;
        /* Half-open, so that a line through a shared edge meets one of the two swaths only. */
        if (ya < y === yb < y) continue;
        const x = (turned[a] as number) + ((y - ya) / (yb - ya)) * ((turned[b] as number) - (turned[a] as number));
        if (x < low) {
          low = x;
          lowEdge = edge;
        }
        if (x > high) {
          high = x;
          highEdge = edge;
        }
      }
      const at = next[j - first] as number;
      next[j - first] = at + 1;
      left[at] = low;
      right[at] = high;
      swath[at] = s;
      /* Edges 0 and 2 are rear and front, 1 and 3 the sides. */
      sides[at] = (lowEdge & 1) | ((highEdge & 1) << 1);
    }
  }
  return { ...frame, first, lines, offsets, left, right, swath, sides };
}

/** Corners as x, y of the frame. */
function inFrame(corners: Float64Array, { direction }: Frame): Float64Array {
  const cos = Math.cos(direction);
  const sin = Math.sin(direction);
  const turned = new Float64Array(corners.length);
  for (let i = 0; i < corners.length; i += 2) {
    const east = corners[i] as number;
    const north = corners[i + 1] as number;
    turned[i] = east * cos - north * sin;
    turned[i + 1] = east * sin + north * cos;
  }
  return turned;
}

/** From the frame back to m east and north. */
export function fromFrame({ direction }: Frame, x: number, y: number): readonly [east: number, north: number] {
  return [x * Math.cos(direction) + y * Math.sin(direction), y * Math.cos(direction) - x * Math.sin(direction)];
}
