import type { ColumnHeading, LogSink } from '../log-format.ts';
import type { PositionKey } from './log-header.ts';

/** The positions of a time log as columns that share its clock. */
export interface PositionTable {
  /** Handed on at once, so that the log's clock is seen in the order of its records. */
  readonly push: (time: number, position: Readonly<Partial<Record<PositionKey, number>>>) => void;
}

const EPOCH = 315_532_800;
const DAY = 86_400;
const NOT_AVAILABLE_32 = 0x7fffffff;

const COLUMNS: readonly ColumnHeading[] = [
  { text: 'gnss.lat' }, { text: 'gnss.lon' }, { text: 'gnss.fix' }, { text: 'gnss.hdop' }, { text: 'gnss.sats' }, { text: 'clock.offset [s]' },
];

/** 1e-7°, status and satellites as numbers, HDOP 0.1, GPS time against the record's own; what is not available is no sample. */
export function createPositionTable(sink: LogSink): PositionTable {
  const times = new Float64Array(1);
  const columns = COLUMNS.map(() => new Float64Array(1));
  const table = sink.table(COLUMNS);
  let isTold = false;
  return {
    push: (time, position) => {
      times[0] = time;
      const gnss = gnssTime(position);
      const ahead = gnss === undefined ? Number.NaN : gnss - time;
      const days = daysApart(ahead);
      if (!isTold && days !== 0) {
        isTold = true;
        sink.note('Its GNSS date is one whole day away from its own date, at the same time of day but for a zone: one of the two counts its days wrongly. Its own date is kept.');
      }
      valuesOf(position, ahead - days * DAY).forEach((value, i) => {
        (columns[i] as Float64Array)[0] = value;
      });
      table.rows(times, columns, 1);
    },
  };
}

function valuesOf({ A, B, D, F, G }: Readonly<Partial<Record<PositionKey, number>>>, clockOffset: number): readonly number[] {
  return [degrees(A, 90), degrees(B, 180), known(D, 15), known(F, 0xffff) / 10, known(G, 0xff), clockOffset];
}

/** Seconds since 1970 UTC; undefined for zero date and zero time, which mean that the receiver had none. */
function gnssTime({ H, I }: Readonly<Partial<Record<PositionKey, number>>>): number | undefined {
  return H === undefined || I === undefined || I === 0 || I === 0xffff || H >= DAY * 1000 ? undefined : EPOCH + I * DAY + H / 1000;
}

/** Hours; no zone is farther from UTC. */
const FARTHEST_ZONE = 14;
const QUARTER_HOUR = 900;
/** s; two clocks that show the same time of day. */
const SAME = 120;

/**
 * −1 or 1 when the two differ by one whole day and, but for a zone, agree in the time of day: both are counts of days, and terminals are met
 * that start one of them a day off (a recording among `../shared/real-logs`). A clock that was set wrong differs by anything.
 */
function daysApart(offset: number): number {
  const day = Math.sign(offset);
  const zone = offset - day * DAY;
  const isZone = Math.abs(zone - Math.round(zone / QUARTER_HOUR) * QUARTER_HOUR) < SAME;
  return Math.abs(offset) > FARTHEST_ZONE * 3600 && Math.abs(zone) <= FARTHEST_ZONE * 3600 + SAME && isZone ? day : 0;
}

function degrees(raw: number | undefined, most: number): number {
  if (raw === undefined || raw === NOT_AVAILABLE_32 || Math.abs(raw) > most * 1e7) return Number.NaN;
  return raw / 1e7;
}

function known(raw: number | undefined, notAvailable: number): number {
  return raw === undefined || raw === notAvailable ? Number.NaN : raw;
}
