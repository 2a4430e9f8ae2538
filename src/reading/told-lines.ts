import type { ClockEstimate } from '../../shared/day.ts';
import { NO_CHANGE, type ClockPoint } from './clock-line.ts';
import { estimateOf } from './clock-notes.ts';
import { FAR } from './clock-placement.ts';
import { stepsAtGaps } from './clock-steps.ts';
import type { FoundPart } from './corrected-clock.ts';
import type { LogReading } from './day-assembly.ts';
import { createStretchTracker } from './stretch-tracker.ts';
import { isActedOn, toldClock, toldPoints, type ToldClock } from './told-clock.ts';

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
  const notes = new Set<string>();
  const estimates = new Map<number, ClockEstimate>();
  let main: number | undefined;
  if (channel === undefined) return { found, isTold: false, estimates, notes: [] };
  const { stretches, hasWallClock, start } = reading.placement;
  const ordered = [...stretches.entries()].sort(([, a], [, b]) => Number(b.isMain) - Number(a.isMain));
  for (const [index, stretch] of ordered) {
    const stretchOf = createStretchTracker(stretches);
    const { points, n } = toldPoints(channel, (time) => stretchOf(time) === index);
    const steps = stepsAtGaps(points, reading.gaps);
    const parts = [...steps, { start: stretch.last, end: stretch.last }].map((step, k) => {
      const first = k === 0 ? stretch.first : (steps[k - 1]?.end ?? stretch.first);
      return { first, last: step.start, clock: clockOf(points.filter(({ time }) => time >= first && time <= step.start), n, first, stretch.isMain) };
    });
    const known = parts.find(({ clock }) => clock !== undefined)?.clock;
    if (known === undefined) continue;
    if (!stretch.isMain && Math.abs(stretch.first + known.fit.line.offset - (main ?? start)) > FAR) continue;
    if (known.rollovers !== 0) notes.add('The date of the GNSS receiver is off by 1,024 weeks, as after a rollover of the GPS week: only its time of the week is used.');
    const isNeeded = !hasWallClock || !stretch.isMain || parts.some(({ first, last, clock }) => clock !== undefined && isActedOn(clock, last - first));
    found.set(index, parts.map(({ first, last, clock }) => ({ first, last, line: isNeeded ? (clock ?? known).fit.line : NO_CHANGE })));
    if (stretch.isMain) main ??= stretch.first + (isNeeded ? known.fit.line.offset : 0);
    estimates.set(index, estimateOf(known.fit, DELAY, { from: 'gnss-time' }));
  }
  return { found, isTold: main !== undefined, estimates, notes: [...notes] };

  /** A log's own date is believed before a receiver's that is 1,024 weeks earlier, and the main part's before any. */
  function clockOf(points: readonly ClockPoint[], n: number, first: number, isMain: boolean): ToldClock | undefined {
    if (!isMain) return toldClock(points, n, first, main ?? start);
    const clock = toldClock(points, n, first, hasWallClock ? first : undefined);
    return clock !== undefined && clock.rollovers < 0 ? toldClock(points, n, first, undefined) : clock;
  }
}
