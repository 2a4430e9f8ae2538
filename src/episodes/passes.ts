import type { Span } from '../../shared/span.ts';
import { intersectSpans, joinSpans, spansWhere, subtractSpans } from '../series/spans.ts';
import type { Pass } from './episodes.ts';
import type { Motion } from './motion.ts';
import type { Work } from './working.ts';

/** A longer stop ends a pass, s. */
const LONGEST_STOP = 10;
/** A pass is at least this long in time or in way. Common practice, no source. */
const SHORTEST_SECONDS = 60;
const SHORTEST_METRES = 100;
const SLOWEST = 0.5;

/** Straight working stretches between turns, lifts and stops; contour passes bend gently and stay whole. */
export function passesOf({ engaged, working }: Work, turning: readonly Span[], motion: Motion): readonly Pass[] {
  const going = joinSpans(spansWhere(motion.speed.map((v) => (v > SLOWEST ? 1 : 0))), LONGEST_STOP);
  const work = intersectSpans(engaged, going);
  return subtractSpans(intersectSpans(work, spread(working)), turning)
    .map((span) => passOn(motion, span))
    .filter(({ start, end, length }) => end - start >= SHORTEST_SECONDS || length >= SHORTEST_METRES);
}

/** Working time with its short stops, so that a pass begins and ends at work. */
const spread = (working: readonly Span[]): readonly Span[] => joinSpans(working, LONGEST_STOP);

function passOn({ speed, course }: Motion, { start, end }: Span): Pass {
  let length = 0;
  let north = 0;
  let east = 0;
  for (let k = Math.ceil(start - 0.5); k < Math.min(speed.length, Math.ceil(end - 0.5)); k++) {
    const v = speed[k] as number;
    const angle = course[k] as number;
    if (!Number.isNaN(v)) length += v;
    if (Number.isNaN(angle)) continue;
    north += Math.cos(angle);
    east += Math.sin(angle);
  }
  const angle = Math.atan2(east, north);
  return { start, end, length, course: north === 0 && east === 0 ? Number.NaN : angle < 0 ? angle + 2 * Math.PI : angle };
}
