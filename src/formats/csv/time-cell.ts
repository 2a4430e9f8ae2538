import { cellValue } from './cell.ts';
import { dateOrder, parseWritten, type DateOrder } from './written-date.ts';
import type { ZoneClock } from './zone-clock.ts';

/** How a time column counts. `clock` = written dates and times; `serial` = days since 1899-12-30 as spreadsheets count. */
export type TimeKind = { readonly kind: 'clock'; readonly order: DateOrder } | { readonly kind: 'serial' } | { readonly kind: 'number'; readonly secondsPerUnit: number };

export interface TimeReader {
  readonly kind: TimeKind;
  /** Seconds since 1970 UTC, or from the log's start; undefined when the text is no time. */
  readonly fromText: (text: string) => number | undefined;
  /** A number of the column's unit as seconds. */
  readonly fromNumber: (value: number) => number;
  /**
   * `YYYY-MM-DDThh:mm:ss[.fraction][Z]` (or with a blank for the T) in `buffer[from … to)` → seconds; NaN when it is written any other way.
   * Gives exactly what `fromText` gives.
   */
  readonly fromBytes: (buffer: Uint8Array, from: number, to: number) => number;
}

const DAY = 86_400;
/** Days from 1899-12-30 to 1970-01-01. */
const SERIAL_OF_1970 = 25_569;
const POWER_OF_TEN = [1, 10, 100, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9];
const ISO = /^(\d{4})-(\d{2})-(\d{2})(?:[Tt ](\d{2}):(\d{2})(?::(\d{2})(?:[.,](\d{1,9}))?)?)? ?(?:(Z|z|UTC)|([+-])(\d{2}):?(\d{2})?)?$/;

export function createTimeReader(kind: TimeKind, zone: ZoneClock, decimalComma: boolean): TimeReader {
  /* Dividing by a whole number rounds once; multiplying by 0.001 would round twice. */
  const secondsPerUnit = kind.kind === 'number' ? kind.secondsPerUnit : 1;
  const unitsPerSecond = secondsPerUnit < 1 ? Math.round(1 / secondsPerUnit) : 1;
  let dayKey = -1;
  let dayStart = 0;

  /** Seconds since 1970 of a date, NaN when there is no such day; the last one is remembered. */
  const startOfDay = (year: number, month: number, day: number): number => {
    const key = (year * 100 + month) * 100 + day;
    if (key !== dayKey) {
      const milliseconds = Date.UTC(year, month - 1, day);
      const isReal = new Date(milliseconds).getUTCDate() === day && month >= 1 && month <= 12 && year >= 1970;
      dayKey = key;
      dayStart = isReal ? milliseconds / 1000 : Number.NaN;
    }
    return dayStart;
  };

  const fromText = (text: string): number | undefined => {
    const trimmed = text.trim();
    const match = ISO.exec(trimmed);
    if (match === null) return fromOther(trimmed);
    const [, year, month, day, hour = '0', minute = '0', second = '0', fraction = '', utc, sign, zoneHour = '0', zoneMinute = '0'] = match;
    const whole = wallSeconds(Number(year), Number(month), Number(day), Number(hour), Number(minute), Number(second));
    if (Number.isNaN(whole)) return undefined;
    if (sign !== undefined) return withFraction(whole - (sign === '-' ? -1 : 1) * (Number(zoneHour) * 3600 + Number(zoneMinute) * 60), Number(fraction), fraction.length);
    return withFraction(utc === undefined ? zone.toUtc(whole) : whole, Number(fraction), fraction.length);
  };

  const fromOther = (text: string): number | undefined => {
    if (kind.kind !== 'clock') {
      const value = cellValue(text, decimalComma);
      return value === undefined || Number.isNaN(value) ? undefined : fromNumber(value);
    }
    const written = parseWritten(text, kind.order);
    if (written === undefined) return undefined;
    const whole = wallSeconds(written.year, written.month, written.day, written.hour, written.minute, written.second);
    return Number.isNaN(whole) ? undefined : withFraction(zone.toUtc(whole), Number(written.fraction), written.fraction.length);
  };

  /** Seconds since 1970 of a clock reading as if it were UTC; NaN when there is no such time. */
  const wallSeconds = (year: number, month: number, day: number, hour: number, minute: number, second: number): number =>
    (hour <= 23 && minute <= 59 && second <= 60 ? startOfDay(year, month, day) + hour * 3600 + minute * 60 + second : Number.NaN);

  const fromNumber = (value: number): number => {
    if (kind.kind !== 'serial') return unitsPerSecond > 1 ? value / unitsPerSecond : value * secondsPerUnit;
    /* Spreadsheets keep about a tenth of a millisecond; the remainder is noise. */
    return zone.toUtc(Math.round((value - SERIAL_OF_1970) * DAY * 1000) / 1000);
  };

  const fromBytes = (buffer: Uint8Array, from: number, to: number): number => {
    if (to - from < 19) return Number.NaN;
    const mark = buffer[from + 10];
    if (buffer[from + 4] !== 45 || buffer[from + 7] !== 45 || (mark !== 84 && mark !== 32) || buffer[from + 13] !== 58 || buffer[from + 16] !== 58) return Number.NaN;
    let position = from + 19;
    let fraction = 0;
    let digits = 0;
    if (position < to && (buffer[position] === 46 || buffer[position] === 44)) {
      position += 1;
      for (let digit = (buffer[position] as number) - 48; position < to && digit >= 0 && digit <= 9; digit = (buffer[position] as number) - 48) {
        fraction = fraction * 10 + digit;
        digits += 1;
        position += 1;
      }
      if (digits === 0 || digits > 9) return Number.NaN;
    }
    const isUtc = position === to - 1 && buffer[position] === 90;
    if (!isUtc && position !== to) return Number.NaN;
    const year = pair(buffer, from) * 100 + pair(buffer, from + 2);
    const whole = wallSeconds(year, pair(buffer, from + 5), pair(buffer, from + 8), pair(buffer, from + 11), pair(buffer, from + 14), pair(buffer, from + 17));
    return Number.isNaN(whole) ? whole : withFraction(isUtc ? whole : zone.toUtc(whole), fraction, digits);
  };

  return { kind, fromText, fromNumber, fromBytes };
}

/** The nearest double to the decimal number, up to microseconds. */
function withFraction(whole: number, fraction: number, digits: number): number {
  const scale = POWER_OF_TEN[digits] as number;
  return digits <= 6 ? (whole * scale + fraction) / scale : whole + fraction / scale;
}

/** Two digits; NaN when they are none. */
function pair(buffer: Uint8Array, at: number): number {
  const tens = (buffer[at] as number) - 48;
  const ones = (buffer[at + 1] as number) - 48;
  return tens >= 0 && tens <= 9 && ones >= 0 && ones <= 9 ? tens * 10 + ones : Number.NaN;
}

/** A heading that names a time column, with its unit when it gives one. */
export function timeHeading(text: string): { readonly unit?: string; readonly isPlain: boolean } | undefined {
  const match = /^\s*(time|timestamp|time stamp|date ?time|date\/time|date and time|utc|utc time)\s*(?:\[([^\]]*)\]|\(([^)]*)\))?\s*$/i.exec(text);
  if (match === null) return undefined;
  const unit = (match[2] ?? match[3] ?? '').trim();
  return { ...(unit === '' || /^(?:utc|iso|iso ?8601)$/i.test(unit) ? {} : { unit }), isPlain: (match[1] ?? '').toLowerCase() === 'time' };
}

/** Given as a time column's unit, these say how its dates are written. */
export const DAY_FIRST = 'D/M/Y';
export const MONTH_FIRST = 'M/D/Y';
const SECONDS_PER: Readonly<Record<string, number>> = { s: 1, sec: 1, ms: 0.001, us: 1e-6, 'µs': 1e-6, ns: 1e-9, min: 60, h: 3600 };

/** The column's kind from its unit or, without one, from its first cells. Undefined: a unit that is none of time. */
export function timeKind(unit: string | undefined, firstCells: readonly string[], decimalComma: boolean): TimeKind | undefined {
  if (unit !== undefined) {
    if (unit === DAY_FIRST || unit === MONTH_FIRST) return { kind: 'clock', order: unit === DAY_FIRST ? 'day-first' : 'month-first' };
    const secondsPerUnit = Object.hasOwn(SECONDS_PER, unit) ? SECONDS_PER[unit] : undefined;
    return secondsPerUnit === undefined ? undefined : { kind: 'number', secondsPerUnit };
  }
  const values = firstCells.map((cell) => cellValue(cell, decimalComma)).filter((value) => value !== undefined && !Number.isNaN(value)) as number[];
  const [first] = values;
  if (first === undefined || values.length * 2 < firstCells.length) return { kind: 'clock', order: dateOrder(firstCells) ?? 'day-first' };
  if (isSerial(values)) return { kind: 'serial' };
  return { kind: 'number', secondsPerUnit: first > 1e17 ? 1e-9 : first > 1e14 ? 1e-6 : first > 1e11 ? 0.001 : 1 };
}

/** Dates of 1954 to 2119 as day counts, with steps far below what seconds would show. */
function isSerial(values: readonly number[]): boolean {
  if (!values.every((value) => value > 20_000 && value < 80_000)) return false;
  const steps = values.slice(1).map((value, i) => Math.abs(value - (values[i] as number)));
  return steps.length > 0 && steps.every((step) => step < 0.005);
}
