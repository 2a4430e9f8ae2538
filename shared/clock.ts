/** Clock times as people write them, to seconds since 1970 UTC and back. */

const ISO = /^(\d{4})-(\d{2})-(\d{2})(?:[T ](\d{2}):(\d{2})(?::(\d{2}(?:\.\d+)?))?)?\s*(Z|[+-]\d{2}:?\d{2})?$/;

/** ISO 8601 date and time → seconds since 1970 UTC; a time without zone is read in `zone` (IANA name). Undefined when it is not such a time. */
export function parseClock(text: string, zone = 'UTC'): number | undefined {
  const match = ISO.exec(text.trim());
  if (match === null) return undefined;
  const [, year, month, day, hour = '0', minute = '0', second = '0', offset] = match;
  const wall = Date.UTC(Number(year), Number(month) - 1, Number(day), Number(hour), Number(minute)) / 1000 + Number(second);
  const check = new Date(wall * 1000);
  const isReal = check.getUTCMonth() === Number(month) - 1 && check.getUTCDate() === Number(day) && Number(hour) < 24 && Number(minute) < 60 && Number(second) < 61;
  if (!isReal) return undefined;
  if (offset === undefined) return wall - zoneOffset(wall, zone);
  if (offset === 'Z') return wall;
  const sign = offset.startsWith('-') ? -1 : 1;
  return wall - sign * (Number(offset.slice(1, 3)) * 3600 + Number(offset.slice(-2)) * 60);
}

/** Seconds to add to UTC to get the wall time `wall` in `zone`: the earlier of two when the clock shows it twice, the old one when it skips it. */
function zoneOffset(wall: number, zone: string): number {
  if (zone === 'UTC') return 0;
  const before = offsetAt(wall - DAY_SECONDS, zone);
  const after = offsetAt(wall + DAY_SECONDS, zone);
  const fitting = [before, after].filter((offset) => offsetAt(wall - offset, zone) === offset);
  return fitting.length === 0 ? before : Math.max(...fitting);
}

const DAY_SECONDS = 86_400;

/** Seconds to add to UTC to get wall time in `zone` at the UTC time `epoch`. */
export function offsetAt(epoch: number, zone: string): number {
  const parts = wallFormat(zone).formatToParts(Math.floor(epoch) * 1000);
  const part = (type: string): number => Number(parts.find((candidate) => candidate.type === type)?.value);
  const wall = Date.UTC(part('year'), part('month') - 1, part('day'), part('hour'), part('minute'), part('second')) / 1000;
  return wall - Math.floor(epoch);
}

const formats = new Map<string, Intl.DateTimeFormat>();
function wallFormat(zone: string): Intl.DateTimeFormat {
  const known = formats.get(zone);
  if (known !== undefined) return known;
  const format = new Intl.DateTimeFormat('en-US', {
    timeZone: zone, hourCycle: 'h23', year: 'numeric', month: '2-digit', day: '2-digit', hour: '2-digit', minute: '2-digit', second: '2-digit',
  });
  formats.set(zone, format);
  return format;
}

export function isZone(name: string): boolean {
  try {
    wallFormat(name);
    return true;
  } catch {
    return false;
  }
}

/** Seconds since 1970 UTC → `2026-05-06T12:05:00Z`, with milliseconds only when there are some. */
export function toIso(epoch: number): string {
  return new Date(Math.round(epoch * 1000)).toISOString().replace('.000Z', 'Z');
}
