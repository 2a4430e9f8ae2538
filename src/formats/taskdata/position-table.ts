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
  return {
    push: (time, position) => {
      times[0] = time;
      valuesOf(time, position).forEach((value, i) => {
        (columns[i] as Float64Array)[0] = value;
      });
      table.rows(times, columns, 1);
    },
  };
}

function valuesOf(time: number, { A, B, D, F, G, H, I }: Readonly<Partial<Record<PositionKey, number>>>): readonly number[] {
  return [
    degrees(A, 90), degrees(B, 180),
    known(D, 15), known(F, 0xffff) / 10, known(G, 0xff),
    /* Zero date and zero time: the receiver had none. */
    H === undefined || I === undefined || I === 0 || I === 0xffff || H >= DAY * 1000 ? Number.NaN : EPOCH + I * DAY + H / 1000 - time,
  ];
}

function degrees(raw: number | undefined, most: number): number {
  if (raw === undefined || raw === NOT_AVAILABLE_32 || Math.abs(raw) > most * 1e7) return Number.NaN;
  return raw / 1e7;
}

function known(raw: number | undefined, notAvailable: number): number {
  return raw === undefined || raw === notAvailable ? Number.NaN : raw;
}
