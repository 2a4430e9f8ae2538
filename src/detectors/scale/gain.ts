import type { Span } from '../../../shared/span.ts';
import type { Episodes, Fill } from '../../episodes/episodes.ts';
import { median } from '../../series/robust.ts';
import { subtractSpans } from '../../series/spans.ts';
import type { TankTrack } from './tank-track.ts';

/** What a fill added by the scale, kg, with its standard uncertainty. */
export interface Gain {
  readonly mass: number;
  readonly uncertainty: number;
}

/** s over which a scale forgets its wander, and kg of it (standard deviation) while standing: scenarios.md section 0, from memory. */
const FORGETS = 180;
const USUAL = 6;
/** What the usual figure weighs against the day's own, in independent looks. */
const PRIOR_LOOKS = 8;
/** s; how far a look compares the reading with itself, and over what it is averaged. */
const LAG = 60;
const MEAN = 20;
/** s beside a fill in which its levels are looked for, and the calm seconds a level needs. */
const BESIDE = 150;
const LEAST_CALM = 10;
/** kg by which neighbouring calm seconds differ at most: a few scale steps. People on the cart shake it more. */
const CALM = 12;
/** kg, scatter of a level from bounce and reading steps. */
const NOISE = 1.6;
/** kg more for levels that were never calm. */
const SHAKEN = 20;

/**
 * Levels are medians of calm seconds of the same stop, so that people and hand-filling beside them do not count; √2 · u(w) for two
 * independent readings (checks.md W-05), with the wander the tank shows while it stands and nothing is loaded, less what both levels
 * share. Fills on the move keep their own figures. `jumps` are times at which the zero moved.
 */
export function gainOf(track: TankTrack, fill: Fill, episodes: Episodes, jumps: readonly number[]): Gain {
  const own = { mass: fill.after - fill.before, uncertainty: fill.uncertainty };
  const stand = episodes.parked.find(({ start, end }) => start <= fill.start + 5 && fill.end - 5 <= end);
  if (fill.moving === true || stand === undefined) return own;
  const from = Math.max(stand.start + 5, fill.start - BESIDE, ...jumps.filter((time) => time <= fill.start + 5).map((time) => time + 5));
  const to = Math.min(stand.end, fill.end + BESIDE, ...jumps.filter((time) => time >= fill.end - 5).map((time) => time - 5));
  const before = calmReadings(track.mass, from, fill.start);
  const after = calmReadings(track.mass, fill.end, to);
  if (before.length < LEAST_CALM || after.length < LEAST_CALM) return { ...own, uncertainty: Math.hypot(own.uncertainty, SHAKEN) };
  const wander = standingWander(track, episodes);
  const length = Math.max(LEAST_CALM, Math.min(before.length, after.length));
  const forgotten = (FORGETS / length) * (1 - Math.exp(-length / FORGETS));
  const each = 2 * (FORGETS / length) * (1 - forgotten);
  const shared = forgotten ** 2 * Math.exp(-(fill.end - fill.start) / FORGETS);
  return { mass: median(after) - median(before), uncertainty: Math.hypot(NOISE * Math.SQRT2, wander * Math.sqrt(2 * (each - shared))) };
}

/** Readings whose neighbours within three seconds either side lie within `CALM` kg. */
function calmReadings(mass: Float64Array, from: number, to: number): readonly number[] {
  const calm: number[] = [];
  for (let k = Math.max(0, Math.ceil(from)); k < Math.min(mass.length, to); k++) {
    let [lowest, highest] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
    for (let j = Math.max(0, k - 3); j <= Math.min(mass.length - 1, k + 3); j++) {
      lowest = Math.min(lowest, mass[j] as number);
      highest = Math.max(highest, mass[j] as number);
    }
    if (highest - lowest <= CALM) calm.push(mass[k] as number);
  }
  return calm;
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
