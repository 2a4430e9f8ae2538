import { JITTER, type ClockStretch } from './record-clock.ts';

/**
 * Follows a channel's samples, in file order, through the stretches of its log's clock: the stretch each belongs to.
 * A channel that is silent while the clock is set back may be late by a few samples to notice.
 */
export function createStretchTracker(stretches: readonly ClockStretch[]): (time: number) => number {
  let at = 0;
  let latest = Number.NEGATIVE_INFINITY;
  const holds = (k: number, time: number): boolean => {
    const stretch = stretches[k];
    return stretch !== undefined && time >= stretch.first - JITTER && time <= stretch.last;
  };
  return (time) => {
    if (!(holds(at, time) && time > latest - JITTER)) {
      for (let ahead = 1; ahead <= stretches.length; ahead += 1) {
        const next = (at + ahead) % stretches.length;
        if (!holds(next, time)) continue;
        at = next;
        latest = time;
        break;
      }
    }
    latest = Math.max(latest, time);
    return at;
  };
}
