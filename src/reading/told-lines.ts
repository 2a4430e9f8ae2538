import type { ClockEstimate } from '../../shared/day.ts';
import { NO_CHANGE } from './clock-line.ts';
import { estimateOf } from './clock-notes.ts';
import { stepsAtGaps } from './clock-steps.ts';
import type { FoundPart } from './corrected-clock.ts';
import type { LogReading } from './day-assembly.ts';
import { createStretchTracker } from './stretch-tracker.ts';
import { isActedOn, toldClock, toldPoints } from './told-clock.ts';

/** What the GNSS or network time in a log says of its own clock. */
export interface Told {
  readonly found: Map<number, readonly FoundPart[]>;
  /** Whether UTC is known of the main part. */
  readonly isTold: boolean;
  /** By stretch. */
  readonly estimates: Map<number, ClockEstimate>;
  readonly notes: readonly string[];
}

/** s; what one message's own delay adds to the interval. */
const DELAY = { offset: 0, drift: 0, typeB: 0.5 };

/** Per stretch of the log's clock, from the most trusted of its `clock.offset` channels. */
export function told(reading: LogReading): Told {
  const channel = reading.channels.find(({ id }) => id === 'clock.offset');
  const found = new Map<number, readonly FoundPart[]>();
  const notes: string[] = [];
  const estimates = new Map<number, ClockEstimate>();
  let isTold = false;
  if (channel === undefined) return { found, isTold, estimates, notes };
  const { stretches, hasWallClock } = reading.placement;
  for (const [index, stretch] of stretches.entries()) {
    const stretchOf = createStretchTracker(stretches);
    const { points, n } = toldPoints(channel, (time) => stretchOf(time) === index);
    const steps = stepsAtGaps(points, reading.gaps);
    const parts = [...steps, { start: stretch.last, end: stretch.last }].map((step, k) => {
      const first = k === 0 ? stretch.first : (steps[k - 1]?.end ?? stretch.first);
      const clock = toldClock(points.filter(({ time }) => time >= first && time <= step.start), n, first, hasWallClock && stretch.isMain);
      return { first, last: step.start, clock };
    });
    const known = parts.find(({ clock }) => clock !== undefined);
    if (known?.clock === undefined) continue;
    const isNeeded = !hasWallClock || !stretch.isMain || parts.some(({ first, last, clock }) => clock !== undefined && isActedOn(clock, last - first));
    if (known.clock.rollovers > 0) notes.push(`The GNSS receiver's date is ${known.clock.rollovers * 1024} weeks too early, as after a rollover of the GPS week: only its time of day is used.`);
    const lines = parts.map(({ first, last, clock }) => ({ first, last, line: isNeeded ? ((clock ?? known.clock)?.fit.line ?? NO_CHANGE) : NO_CHANGE }));
    if (isNeeded) found.set(index, lines);
    if (stretch.isMain) isTold = true;
    estimates.set(index, estimateOf(known.clock.fit, DELAY, { from: 'gnss-time' }));
  }
  return { found, isTold, estimates, notes };
}
