import { createPatches, type Patch } from './patches.ts';
import { scanLines, type Frame, type ScanLines } from './scan-lines.ts';
import type { Swaths } from './swath.ts';

/** Areas in m². */
export interface Coverage {
  /** Each place counted once. */
  readonly area: number;
  /** Each place counted as often as it was covered: area + overlap. */
  readonly applied: number;
  readonly overlap: Shares;
  /** Bare ground between neighbours, nowhere wider than `widestGap`. */
  readonly missed: Shares;
  /** The larger single places of both, largest first. */
  readonly patches: readonly Patch[];
}

/** Between passes that run side by side, and where they meet at an angle: pass ends, headlands. */
export interface Shares {
  readonly total: number;
  readonly between: number;
  readonly ends: number;
}

export interface CoverageOptions {
  /** m; a wider bare strip is land left out on purpose, or work not yet done. Default 0.8 of the widest swath. */
  readonly widestGap?: number;
  /** m between the lines on which areas are measured. */
  readonly spacing?: number;
  /** m²; smaller patches are summed but not listed. */
  readonly smallestPatch?: number;
}

/** rad by which the lines are turned against the passes, so that no edge runs along a line. */
const SLANT = (4 * Math.PI) / 180;
/** s; a place passed again after a longer time was covered twice, sooner it is the same visit. */
const SAME_VISIT = 8;
/** m */
const TOUCHING = 0.02;
/** Passes whose courses differ by less than this run side by side. */
const SIDE_BY_SIDE = (25 * Math.PI) / 180;
/** A neighbour belongs to the lines it crosses at more than 45°: each gap is measured across the passes beside it. */
const ACROSS = Math.SQRT1_2;

export function coverageOf(swaths: Swaths, options: CoverageOptions = {}): Coverage {
  const widestGap = options.widestGap ?? 0.8 * widestSwath(swaths);
  const spacing = options.spacing ?? 0.25;
  const patches = createPatches(options.smallestPatch ?? 5);
  const along = mainDirection(swaths) + SLANT;
  const across = scanLines(swaths, { direction: along, spacing });
  const main = tallyLines(across, swaths, { widestGap, patches: patches.onLines(across), overlaps: true });
  /* Lines along the passes only serve the gaps at their ends, as wide as the drill: coarser ones will do. */
  const lengthwise = scanLines(swaths, { direction: along + Math.PI / 2, spacing: 4 * spacing });
  const cross = tallyLines(lengthwise, swaths, { widestGap, patches: patches.onLines(lengthwise), overlaps: false });
  return {
    area: main.area,
    applied: main.area + main.overlapBetween + main.overlapEnds,
    overlap: sharesOf(main.overlapBetween, main.overlapEnds),
    missed: sharesOf(main.missedBetween + cross.missedBetween, main.missedEnds + cross.missedEnds),
    patches: patches.listed(),
  };
}

const sharesOf = (between: number, ends: number): Shares => ({ total: between + ends, between, ends });

interface Tally {
  area: number;
  overlapBetween: number;
  overlapEnds: number;
  missedBetween: number;
  missedEnds: number;
}

interface Duty {
  readonly widestGap: number;
  readonly patches: PatchLines;
  /** Whether overlaps are listed too, or only gaps. */
  readonly overlaps: boolean;
}
type PatchLines = ReturnType<ReturnType<typeof createPatches>['onLines']>;

/** What one visit covered of one line. */
interface Piece {
  left: number;
  right: number;
  /** Whether it ends there with a side of the swath, rather than its front or rear. */
  leftSide: boolean;
  rightSide: boolean;
  readonly swath: number;
}

function tallyLines(lines: ScanLines, swaths: Swaths, { widestGap, patches, overlaps }: Duty): Tally {
  const tally: Tally = { area: 0, overlapBetween: 0, overlapEnds: 0, missedBetween: 0, missedEnds: 0 };
  for (let line = 0; line < lines.lines; line++) {
    const pieces = visitsOf(lines, line, swaths.time);
    if (pieces.length === 0) continue;
    pieces.sort((a, b) => a.left - b.left);
    let rightmost = pieces[0] as Piece;
    tally.area += (rightmost.right - rightmost.left) * lines.spacing;
    for (let p = 1; p < pieces.length; p++) {
      const piece = pieces[p] as Piece;
      const beside = Math.abs(Math.sin(angleBetween(swaths, rightmost, piece))) < Math.sin(SIDE_BY_SIDE);
      const shared = Math.min(piece.right, rightmost.right) - piece.left;
      if (shared > 0) {
        tally[beside ? 'overlapBetween' : 'overlapEnds'] += shared * lines.spacing;
        if (overlaps) patches.add('overlap', line, piece.left, piece.left + shared, [rightmost.swath, piece.swath], beside);
      } else {
        const width = gapWidth(lines, swaths, rightmost, piece);
        if (width > 0 && width <= widestGap) {
          tally[beside ? 'missedBetween' : 'missedEnds'] += -shared * lines.spacing;
          patches.add('missed', line, rightmost.right, piece.left, [rightmost.swath, piece.swath], beside);
        }
      }
      if (piece.right > rightmost.right) {
        tally.area += (piece.right - Math.max(piece.left, rightmost.right)) * lines.spacing;
        rightmost = piece;
      }
    }
  }
  patches.end();
  return tally;
}

/**
 * m square to the neighbours; 0 when this gap is for the other set of lines to measure. A neighbour counts by its side
 * where it crosses the line, and by its end where it runs along it, so that no gap is seen by both sets.
 */
function gapWidth(lines: ScanLines, swaths: Swaths, before: Piece, after: Piece): number {
  const one = acrossness(lines, swaths, before);
  const other = acrossness(lines, swaths, after);
  const meets = one > ACROSS === before.rightSide && other > ACROSS === after.leftSide && Math.max(one, other) > ACROSS;
  return meets ? (after.left - before.right) * Math.max(one, other) : 0;
}

const angleBetween = ({ heading }: Swaths, a: Piece, b: Piece): number => (heading[a.swath] as number) - (heading[b.swath] as number);

/** 1 = the swath runs square across the line, 0 = along it. */
const acrossness = ({ direction }: Frame, { heading }: Swaths, { swath }: Piece): number => Math.abs(Math.cos((heading[swath] as number) - direction));

/** A line's crossings with those of one visit joined: what was passed over once, however many swaths it took. */
function visitsOf({ offsets, left, right, swath, sides }: ScanLines, line: number, time: Float64Array): Piece[] {
  const pieces: Piece[] = [];
  let visit = 0;
  let last = Number.NEGATIVE_INFINITY;
  for (let i = offsets[line] as number; i < (offsets[line + 1] as number); i++) {
    const t = time[swath[i] as number] as number;
    if (t - last > SAME_VISIT) visit = pieces.length;
    last = t;
    const side = sides[i] as number;
    join(pieces, visit, { left: left[i] as number, right: right[i] as number, swath: swath[i] as number, leftSide: (side & 1) === 1, rightSide: side >= 2 });
  }
  return pieces;
}

/** Adds a piece to those from index `visit` on, merged with the ones it touches. */
function join(pieces: Piece[], visit: number, piece: Piece): void {
  for (let p = pieces.length - 1; p >= visit; p--) {
    const known = pieces[p] as Piece;
    if (known.left > piece.right + TOUCHING || piece.left > known.right + TOUCHING) continue;
    if (known.left < piece.left) {
      piece.left = known.left;
      piece.leftSide = known.leftSide;
    }
    if (known.right > piece.right) {
      piece.right = known.right;
      piece.rightSide = known.rightSide;
    }
    pieces.splice(p, 1);
  }
  pieces.push(piece);
}

/** rad from north; passes there and back count as one direction. */
export function mainDirection({ count, corners, heading }: Pick<Swaths, 'count' | 'corners' | 'heading'>): number {
  let cos = 0;
  let sin = 0;
  for (let s = 0; s < count; s++) {
    const length = Math.hypot((corners[8 * s + 4] as number) - (corners[8 * s + 2] as number), (corners[8 * s + 5] as number) - (corners[8 * s + 3] as number));
    cos += length * Math.cos(2 * (heading[s] as number));
    sin += length * Math.sin(2 * (heading[s] as number));
  }
  return Math.atan2(sin, cos) / 2;
}

function widestSwath({ count, corners }: Swaths): number {
  let widest = 0;
  for (let s = 0; s < count; s++) {
    widest = Math.max(widest, Math.hypot((corners[8 * s + 2] as number) - (corners[8 * s] as number), (corners[8 * s + 3] as number) - (corners[8 * s + 1] as number)));
  }
  return widest;
}
