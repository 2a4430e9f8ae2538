import type { Span } from '../../../shared/span.ts';
import type { Episodes } from '../../episodes/episodes.ts';
import type { TankTrack } from './tank-track.ts';

/** Seconds without a reading, or without knowing the meter, that still count as one stretch. */
const LONGEST_HOLE = 30;
/** s left out on either side of a fill or step: people on the cart, augers swinging away. */
const MARGIN = 5;

/**
 * Stretches of the day in which the tank's reading can only fall by what the meter took: no fill, no hole in the log, and no
 * cut (a jump of the zero, a stretch in which the product hung). Points are cut out with a margin, spans as they are.
 */
export function stretchesOf(track: TankTrack, episodes: Episodes, cuts: readonly Span[] = []): readonly Span[] {
  const fills = episodes.fills(track.tank.id).map(({ start, end }) => ({ start: start - MARGIN, end: end + MARGIN }));
  const closed = [...fills, ...cuts, ...holes(track)].toSorted((a, b) => a.start - b.start);
  const stretches: Span[] = [];
  let from = 0;
  for (const { start, end } of closed) {
    if (start > from) stretches.push({ start: from, end: start });
    from = Math.max(from, end);
  }
  if (from < track.mass.length) stretches.push({ start: from, end: track.mass.length });
  return stretches.filter(({ start, end }) => end - start >= 60);
}

/** A cut at one moment. */
export const cutAt = (time: number): Span => ({ start: time - MARGIN, end: time + MARGIN });

function holes({ mass, feed }: TankTrack): readonly Span[] {
  const found: Span[] = [];
  let start = -1;
  for (let k = 0; k <= mass.length; k++) {
    const unknown = k < mass.length && !Number.isFinite((mass[k] as number) + (feed === undefined ? 0 : feed[k] as number));
    if (unknown && start < 0) start = k;
    if (!unknown && start >= 0) {
      if (k - start > LONGEST_HOLE) found.push({ start, end: k });
      start = -1;
    }
  }
  return found;
}
