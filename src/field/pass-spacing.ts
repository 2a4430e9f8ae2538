import type { Span } from '../../shared/span.ts';
import { firstAtOrAfter, indexAtOrBefore } from '../series/resample.ts';
import { medianAbsoluteDeviation, median } from '../series/robust.ts';
import type { AntennaTrack } from './track.ts';

/** How far two neighbouring passes lie apart. */
export interface PassSpacing {
  /** Indices into the passes given, the earlier driven first. */
  readonly passes: readonly [number, number];
  /** m, median over their common length. */
  readonly spacing: number;
  /** m, robust standard deviation along it. */
  readonly spread: number;
  /** m along which both run side by side. */
  readonly length: number;
  /** The later pass lies to this side of the earlier one, seen along the earlier one's course. */
  readonly side: 'left' | 'right';
  /** Driven in opposite directions. */
  readonly opposite: boolean;
}

/** m between the lines across the passes on which the spacing is read. */
const STEP = 5;
/** m; passes closer than the first are one driven twice, further apart than the second no neighbours. */
const NEIGHBOURS = { closest: 1, furthest: 60 } as const;
/** m; a shorter common way is an end that sticks out, not a neighbour. */
const SHORTEST = 30;
/** Passes whose axes differ by more do not run side by side. */
const PARALLEL = (15 * Math.PI) / 180;

interface Crossing {
  readonly x: number;
  readonly pass: number;
  /** +1 = the pass crosses towards greater y. */
  readonly sense: number;
  /** cos of its angle to y: what turns a distance along the line into one across the pass. */
  readonly upright: number;
}

/**
 * Spacing of the passes of one day from a track (the antenna's, or the openers'), next neighbours only, by the lines
 * square to the passes' direction that cross both.
 */
export function passSpacings(track: Pick<AntennaTrack, 'time' | 'east' | 'north'>, passes: readonly Span[]): readonly PassSpacing[] {
  const ways = passes.map((span) => wayOf(track, span));
  const pairs = new Map<string, { readonly passes: readonly [number, number]; readonly spacings: number[]; side: number; opposite: boolean }>();
  for (const group of directionsOf(ways)) {
    for (const crossings of crossingsOf(ways, group).values()) {
      crossings.sort((a, b) => a.x - b.x);
      for (let i = 1; i < crossings.length; i++) {
        const [one, other] = [crossings[i - 1] as Crossing, crossings[i] as Crossing];
        const spacing = (other.x - one.x) * ((one.upright + other.upright) / 2);
        if (one.pass === other.pass || spacing < NEIGHBOURS.closest || spacing > NEIGHBOURS.furthest) continue;
        const [earlier, later] = one.pass < other.pass ? [one, other] : [other, one];
        const key = `${earlier.pass} ${later.pass}`;
        const pair = pairs.get(key) ?? { passes: [earlier.pass, later.pass] as const, spacings: [], side: 0, opposite: one.sense !== other.sense };
        pair.spacings.push(spacing);
        pair.side += Math.sign(later.x - earlier.x) * earlier.sense;
        pairs.set(key, pair);
      }
    }
  }
  return [...pairs.values()]
    .filter(({ spacings }) => spacings.length * STEP >= SHORTEST)
    .map(({ passes: both, spacings, side, opposite }): PassSpacing => ({
      passes: both, opposite, spacing: median(spacings), spread: medianAbsoluteDeviation(spacings),
      length: spacings.length * STEP, side: side >= 0 ? 'right' : 'left',
    }))
    .toSorted((a, b) => a.passes[0] - b.passes[0] || a.passes[1] - b.passes[1]);
}

interface Way {
  readonly east: Float64Array;
  readonly north: Float64Array;
  /** rad from north, first to last place. */
  readonly course: number;
}

function wayOf({ time, east, north }: Pick<AntennaTrack, 'time' | 'east' | 'north'>, { start, end }: Span): Way {
  const from = firstAtOrAfter(time, start);
  const to = indexAtOrBefore(time, end) + 1;
  const way = { east: east.subarray(from, to), north: north.subarray(from, to) };
  const course = Math.atan2((way.east.at(-1) ?? NaN) - (way.east[0] ?? NaN), (way.north.at(-1) ?? NaN) - (way.north[0] ?? NaN));
  return { ...way, course };
}

/** Passes by direction, there and back alike. */
function directionsOf(ways: readonly Way[]): readonly { readonly direction: number; readonly members: readonly number[] }[] {
  const groups: { readonly direction: number; readonly members: number[] }[] = [];
  ways.forEach(({ course }, pass) => {
    if (Number.isNaN(course)) return;
    const known = groups.find(({ direction }) => Math.abs(Math.sin(course - direction)) < Math.sin(PARALLEL));
    if (known === undefined) groups.push({ direction: course, members: [pass] });
    else known.members.push(pass);
  });
  return groups;
}

/** Where the passes cross the lines square to their direction, by line. */
function crossingsOf(ways: readonly Way[], { direction, members }: { readonly direction: number; readonly members: readonly number[] }): Map<number, Crossing[]> {
  const cos = Math.cos(direction);
  const sin = Math.sin(direction);
  const lines = new Map<number, Crossing[]>();
  for (const pass of members) {
    const { east, north, course } = ways[pass] as Way;
    const sense = Math.cos(course - direction) >= 0 ? 1 : -1;
    for (let i = 1; i < east.length; i++) {
      const [xa, ya] = [(east[i - 1] as number) * cos - (north[i - 1] as number) * sin, (east[i - 1] as number) * sin + (north[i - 1] as number) * cos];
      const [xb, yb] = [(east[i] as number) * cos - (north[i] as number) * sin, (east[i] as number) * sin + (north[i] as number) * cos];
      const [low, high] = [Math.ceil(Math.min(ya, yb) / STEP), Math.ceil(Math.max(ya, yb) / STEP)];
      for (let line = low; line < high; line++) {
        const share = (line * STEP - ya) / (yb - ya);
        const upright = Math.abs(yb - ya) / Math.hypot(xb - xa, yb - ya);
        const crossing = { x: xa + share * (xb - xa), pass, sense, upright };
        const known = lines.get(line);
        if (known === undefined) lines.set(line, [crossing]);
        else known.push(crossing);
      }
    }
  }
  return lines;
}
