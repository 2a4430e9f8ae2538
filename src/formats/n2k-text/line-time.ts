/** When a line says it was recorded. */
export type LineTime =
  | { readonly kind: 'none' }
  /** Seconds since 1970 UTC, or of a counter. */
  | { readonly kind: 'seconds'; readonly seconds: number }
  /** A clock's reading without a zone, as if it were UTC. */
  | { readonly kind: 'wall'; readonly seconds: number }
  /** Seconds since midnight, of no known day. */
  | { readonly kind: 'clock'; readonly seconds: number };

/** 2010-01-01, from which PCDIN counts in 1/1024 s, written with the 32 digits 0–V (canboatjs stringMsg.ts). */
const COUNTER_START = 1_262_304_000;
const COUNTS_PER_SECOND = 1024;
/** s; a shorter count comes from a gateway that was never told the date. */
const YEAR = 366 * 86_400;

/** `2016-02-28` and `19:57:02.364` (or with a comma); undefined when there is no such day or time. */
export function dateTime(date: string, clock: string, isUtc: boolean): LineTime | undefined {
  const time = clockTime(clock);
  const [year = 0, month = 0, day = 0] = date.split('-').map(Number);
  const midnight = Date.UTC(year, month - 1, day);
  if (time === undefined || new Date(midnight).getUTCDate() !== day || month < 1 || month > 12) return undefined;
  /* In thousandths, so that the sum rounds as the text does. */
  const seconds = (midnight + time.seconds * 1000) / 1000;
  return { kind: isUtc ? 'seconds' : 'wall', seconds };
}

/** `19:57:02.364`; undefined when there is no such time. */
export function clockTime(clock: string): { readonly kind: 'clock'; readonly seconds: number } | undefined {
  const [hour = 0, minute = 0, second = 0] = clock.slice(0, 8).split(':').map(Number);
  if (hour > 23 || minute > 59 || second > 60) return undefined;
  const fraction = clock.slice(9);
  return { kind: 'clock', seconds: hour * 3600 + minute * 60 + Number(`${second}.${fraction === '' ? '0' : fraction}`) };
}

export function counterTime(stamp: string): LineTime {
  const seconds = Number.parseInt(stamp, 32) / COUNTS_PER_SECOND;
  return { kind: 'seconds', seconds: seconds < YEAR ? seconds : seconds + COUNTER_START };
}
