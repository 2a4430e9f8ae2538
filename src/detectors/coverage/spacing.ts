import type { Interval } from '../../../shared/span.ts';
import type { PassSpacing } from '../../field/pass-spacing.ts';
import { bootstrapInterval } from '../../series/bootstrap.ts';
import { meanOf } from '../../series/moments.ts';
import { median, medianAbsoluteDeviation } from '../../series/robust.ts';
import type { CoverageOptions } from './options.ts';

/** What the passes say of their spacing. */
export interface SpacingStory {
  /** Next neighbours at the usual spacing; last narrow passes and the like left out. */
  readonly usual: readonly PassSpacing[];
  /** m, mean, what a side offset adds and takes cancelled. */
  readonly spacing: Interval;
  /** m, robust standard deviation of single pairs about the mean of their side. */
  readonly scatter: number;
  /** m of the openers right of the antenna by the alternation of the gaps; undefined with too few pairs driven there and back. */
  readonly right: Interval | undefined;
}

/** m, standard uncertainty of one pass's line by kind of fix (trade.md a.3): 3 corrected, 2 differential, 1 alone; not told = in between. */
const LINE = [1, 1, 0.2, 0.03] as const;
const LINE_UNKNOWN = 0.2;

/** From next neighbours; undefined without any. `rank` is the usual kind of fix, undefined = not logged. */
export function spacingStory(pairs: readonly PassSpacing[], rank: number | undefined, options: CoverageOptions): SpacingStory | undefined {
  const usual = usualPairs(pairs, options);
  if (usual.length === 0) return undefined;
  const spacings = usual.map(({ spacing }) => spacing);
  const sides = usual.map(({ opposite, side }) => (!opposite ? 0 : side === 'right' ? 1 : -1));
  const balanced = countOf(sides, 1) >= 2 && countOf(sides, -1) >= 2;
  const mean = (indices: ArrayLike<number>): number => {
    const [right, left, all] = meansOf(indices, spacings, sides);
    return balanced ? (right + left) / 2 : all;
  };
  const centres = sides.map((side) => median(spacings.filter((_, i) => sides[i] === side)));
  const scatter = medianAbsoluteDeviation(spacings.map((spacing, i) => spacing - (centres[i] as number)));
  const hasSides = countOf(sides, 1) >= options.fewestSidePairs && countOf(sides, -1) >= options.fewestSidePairs;
  return {
    usual, scatter,
    spacing: usual.length >= options.fewestPairs ? bootstrapInterval(usual.length, mean) : byFix(meanOf(spacings), usual.length, rank),
    right: hasSides ? bootstrapInterval(usual.length, (indices) => {
      const [right, left] = meansOf(indices, spacings, sides);
      return (right - left) / 4;
    }) : undefined,
  };
}

/** Turning right the openers' side offset widens the antenna's gap by twice itself, turning left it narrows it: each side has its own usual. */
function usualPairs(pairs: readonly PassSpacing[], { usualWithin }: CoverageOptions): readonly PassSpacing[] {
  const kindOf = ({ opposite, side }: PassSpacing): string => (opposite ? side : 'same way');
  const centre = (kind: string): number => median(pairs.filter((pair) => kindOf(pair) === kind).map(({ spacing }) => spacing));
  const centres = new Map([...new Set(pairs.map(kindOf))].map((kind) => [kind, centre(kind)]));
  const all = median(pairs.map(({ spacing }) => spacing));
  return pairs.filter((pair) => {
    const own = centres.get(kindOf(pair)) ?? all;
    /* A side whose own middle lies far off is made of odd pairs only. */
    return Math.abs(pair.spacing / own - 1) <= usualWithin && Math.abs(own / all - 1) <= 2 * usualWithin;
  });
}

const countOf = (sides: readonly number[], wanted: number): number => sides.filter((side) => side === wanted).length;

/** Means of the right pairs, the left ones and all. */
function meansOf(indices: ArrayLike<number>, spacings: readonly number[], sides: readonly number[]): readonly [right: number, left: number, all: number] {
  const sums = [0, 0, 0];
  const counts = [0, 0, 0];
  for (let i = 0; i < indices.length; i++) {
    const at = indices[i] as number;
    const side = (sides[at] as number) + 1;
    sums[side] = (sums[side] as number) + (spacings[at] as number);
    counts[side] = (counts[side] as number) + 1;
  }
  const [left = 0, same = 0, right = 0] = sums;
  const [lefts = 0, sames = 0, rights = 0] = counts;
  return [right / rights, left / lefts, (left + same + right) / (lefts + sames + rights)];
}

function byFix(value: number, n: number, rank: number | undefined): Interval {
  const reach = 1.96 * Math.SQRT2 * (rank === undefined ? LINE_UNKNOWN : (LINE[rank] ?? LINE_UNKNOWN)) / Math.sqrt(n);
  return { value, low: value - reach, high: value + reach };
}
