import { publishedField } from '../nmea2000-field.ts';
import { compileField, type FieldReader } from '../signal.ts';

/** A message that tells the time of day, so that the log's clock can be compared with it. */
export interface TimeDefinition {
  readonly pgn: number;
  readonly name: string;
  readonly clause: string;
  readonly needs: number;
  readonly trust: number;
  /** Seconds since 1970 UTC; NaN when the message does not tell it. */
  readonly utc: FieldReader;
}

const SECONDS_PER_DAY = 86_400;

/** Time and date as a J1939 device says it. */
export interface TimeDate {
  /** Seconds since 1970 of the clock face sent: UTC, or local time when `isLocal`. */
  readonly clock: number;
  readonly isLocal: boolean;
  /** Minutes to add to UTC for local time, when sent. */
  readonly localOffset: number | undefined;
}

const IS_LOCAL_TIME = 250;
const OFFSET_NOT_GIVEN = 249;

/** PGN 65254, ISO 11783-7 A.1–A.4 and SAE J1939-71 5.3.20. Undefined when any part is null, in error or not available. */
export function readTimeDate(data: Uint8Array, at: number): TimeDate | undefined {
  const [second = 255, minute = 255, hour = 255, month = 255, dayQuarters = 255, year = 255, offsetMinutes = 255, offsetHours = 255] = data.subarray(at, at + 8);
  if (second > 239 || minute > 59 || hour > 23 || month < 1 || month > 12 || dayQuarters < 1 || dayQuarters > 124 || year > 250) return undefined;
  /* The day counts in quarters: 1–4 are the first of the month. */
  const day = Math.floor((dayQuarters - 1) / 4) + 1;
  const clock = Date.UTC(1985 + year, month - 1, day, hour, minute) / 1000 + second * 0.25;
  const isGiven = offsetHours < OFFSET_NOT_GIVEN && offsetMinutes < OFFSET_NOT_GIVEN;
  return { clock, isLocal: offsetHours === IS_LOCAL_TIME, localOffset: isGiven ? (offsetHours - 125) * 60 + (offsetMinutes - 125) : undefined };
}

/** Days and seconds of day in two published fields. */
function dateAndTime(pgn: number, isUsable: (data: Uint8Array, at: number) => boolean = () => true): FieldReader {
  const date = compileField(publishedField(pgn, 'date'));
  const time = compileField(publishedField(pgn, 'time'));
  return (data, at) => (isUsable(data, at) ? date(data, at) * SECONDS_PER_DAY + time(data, at) : Number.NaN);
}

/** 126992: 0 GPS … 4 caesium are true time; 5 is a local crystal. */
const clockSource = compileField(publishedField(126992, 'source'));
const fixMethod = compileField(publishedField(129029, 'method'));

export const timeMessages: readonly TimeDefinition[] = [
  { pgn: 129029, name: 'GNSS Position Data', clause: 'NMEA 2000 PGN 129029', needs: 32, trust: 80, utc: dateAndTime(129029, (data, at) => fixMethod(data, at) > 0) },
  { pgn: 126992, name: 'System Time', clause: 'NMEA 2000 PGN 126992', needs: 8, trust: 70, utc: dateAndTime(126992, (data, at) => clockSource(data, at) < 5) },
  { pgn: 129033, name: 'Time & Date', clause: 'NMEA 2000 PGN 129033', needs: 6, trust: 60, utc: dateAndTime(129033) },
  {
    pgn: 65254, name: 'Time / date', clause: 'ISO 11783-7 A.1–A.4', needs: 8, trust: 50,
    utc: (data, at) => {
      const read = readTimeDate(data, at);
      return read === undefined || read.isLocal ? Number.NaN : read.clock;
    },
  },
];
