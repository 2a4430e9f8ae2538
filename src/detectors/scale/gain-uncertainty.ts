import type { Span } from '../../../shared/span.ts';
import type { Episodes, Fill } from '../../episodes/episodes.ts';
import { subtractSpans } from '../../series/spans.ts';
import type { TankTrack } from './tank-track.ts';

/** s over which a scale forgets its wander, and kg of it (standard deviation) while standing: scenarios.md section 0, from memory. */
const FORGETS = 180;
const USUAL = 6;
/** What the usual figure weighs against the day's own, in independent looks. */
const PRIOR_LOOKS = 8;
/** s; how far a look compares the reading with itself, and over what it is averaged. */
const LAG = 60;
const MEAN = 20;
/** s; the level beside a fill is read over up to two minutes. */
const LONGEST_LEVEL = 118;
/** kg, scatter of a level from bounce and reading steps. */
const NOISE = 1.6;

/**
 * Standard uncertainty of what a fill added, kg: √2 · u(w) for two independent readings (checks.md W-05), here with the wander the
 * tank shows while it stands and nothing is loaded, less what both levels share. Fills on the move keep their own.
 */
export function gainUncertainty(track: TankTrack, fill: Fill, episodes: Episodes): number {
  if (fill.moving === true) return fill.uncertainty;
  const wander = standingWander(track, episodes);
  const stand = episodes.parked.find(({ start, end }) => start <= fill.start + 5 && fill.end - 5 <= end);
  if (stand === undefined) return fill.uncertainty;
  const length = Math.max(10, Math.min(LONGEST_LEVEL, fill.start - stand.start, stand.end - fill.end));
  const forgotten = (FORGETS / length) * (1 - Math.exp(-length / FORGETS));
  const own = 2 * (FORGETS / length) * (1 - forgotten);
  const shared = forgotten ** 2 * Math.exp(-(fill.end - fill.start) / FORGETS);
  return Math.hypot(NOISE * Math.SQRT2, wander * Math.sqrt(2 * (own - shared)));
}

/** kg: from how the standing reading differs after a minute, with the usual figure as a few looks more. */
export function standingWander({ mass, tank }: TankTrack, episodes: Episodes): number {
  const loading: Span[] = episodes.fills(tank.id).map(({ start, end }) => ({ start: start - 30, end: end + 30 }));
  let squares = 0;
  let n = 0;
  for (const { start, end } of subtractSpans(episodes.parked, loading)) {
    for (let k = Math.ceil(start) + MEAN; k + LAG + MEAN <= end; k += MEAN) {
      const difference = meanOf(mass, k + LAG) - meanOf(mass, k);
      /* More than any wander: people, a zero being set. */
      if (!(Math.abs(difference) < 6 * USUAL)) continue;
      squares += Math.max(0, difference ** 2 - 2 * NOISE ** 2);
      n++;
    }
  }
  if (n === 0) return USUAL;
  const variance = squares / n / (2 * (1 - Math.exp(-LAG / FORGETS)));
  const looks = (n * MEAN) / FORGETS;
  return Math.sqrt((looks * variance + PRIOR_LOOKS * USUAL ** 2) / (looks + PRIOR_LOOKS));
}

function meanOf(mass: Float64Array, from: number): number {
  let sum = 0;
  for (let k = from; k < from + MEAN; k++) sum += mass[k] as number;
  return sum / MEAN;
}
