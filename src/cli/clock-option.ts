import { offsetAt, parseClock } from '../../shared/clock.ts';
import { UsageError } from '../index.ts';

/** `2031-05-03T11:30`, `11:30` on the day of the log, or seconds from its start → seconds from the day's start. */
export function clockOption(text: string, option: string, { zone, dayStart }: { readonly zone: string; readonly dayStart: number }): number {
  const clock = /^(\d{1,2}):(\d{2})(?::(\d{2}))?$/.exec(text);
  if (clock !== null && Number(clock[1]) < 24 && Number(clock[2]) < 60) {
    const wall = dayStart + offsetAt(dayStart, zone);
    const midnight = Math.floor(wall / DAY_SECONDS) * DAY_SECONDS;
    const seconds = midnight + Number(clock[1]) * 3600 + Number(clock[2]) * 60 + Number(clock[3] ?? 0) - wall;
    /* Logs may run past midnight; a clock time before their first second means the next day. */
    return seconds < -SLACK ? seconds + DAY_SECONDS : seconds;
  }
  const iso = parseClock(text, zone);
  if (iso !== undefined) return iso - dayStart;
  const seconds = Number(text.replace(/s$/, ''));
  if (text !== '' && Number.isFinite(seconds)) return seconds;
  throw new UsageError('bad-time', `--${option} "${text}" is not a time.`, 'Write it as 11:30, as 2031-05-03T11:30 or as seconds from the start.');
}

const DAY_SECONDS = 86_400;
/** s; so much before the log's start is still meant as before it. */
const SLACK = 4 * 3600;
