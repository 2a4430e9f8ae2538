import { offsetAt, toIso } from '../../../shared/clock.ts';

/** Clock times of one zone in the order logged → UTC, also across changes to and from daylight saving. */
export interface ZoneClock {
  /** `wall` = the clock's reading as if it were UTC; both in seconds since 1970. */
  readonly toUtc: (wall: number) => number;
  readonly notes: () => readonly string[];
}

/** s; every zone changes its offset on a quarter of an hour of its own clock. */
const QUARTER = 900;
const DAY = 86_400;
/** s; rows may be this much out of order without the clock having been set. */
const JITTER = 60;

export function createZoneClock(zone: string): ZoneClock {
  if (zone === 'UTC') return { toUtc: (wall) => wall, notes: () => [] };
  let quarter = Number.NaN;
  /** The offset before and after a change when the quarter comes twice; equal otherwise. */
  let first = 0;
  let second = 0;
  let previous = Number.NEGATIVE_INFINITY;
  let isSecondTime = false;
  const repeated = new Set<string>();
  const skipped = new Set<string>();

  const look = (wall: number): void => {
    const before = offsetAt(wall - offsetAt(wall - DAY, zone), zone);
    const after = offsetAt(wall - offsetAt(wall + DAY, zone), zone);
    const fits = [...new Set([before, after, offsetAt(wall - DAY, zone), offsetAt(wall + DAY, zone)])].filter((offset) => offsetAt(wall - offset, zone) === offset);
    const day = toIso(wall).slice(0, 10);
    if (fits.length === 0) {
      skipped.add(day);
      first = Math.min(before, after);
      second = first;
    } else {
      first = Math.max(...fits);
      second = Math.min(...fits);
      if (first !== second) repeated.add(day);
    }
  };

  return {
    toUtc: (wall) => {
      const now = Math.floor(wall / QUARTER);
      if (now !== quarter) {
        look(now * QUARTER);
        quarter = now;
      }
      if (first === second) isSecondTime = false;
      else if (wall < previous - JITTER) isSecondTime = true;
      previous = wall;
      return wall - (isSecondTime ? second : first);
    },
    notes: () => [
      ...[...repeated].map((day) => `On ${day} the clocks of ${zone} show one hour twice: read as the first time until the log's clock steps back.`),
      ...[...skipped].map((day) => `On ${day} the log holds clock times that the clocks of ${zone} skip: read as standard time.`),
    ],
  };
}
