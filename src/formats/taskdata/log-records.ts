import type { LogHeader, PositionKey } from './log-header.ts';

/** One record of a binary time log. Valid until the next one of that log. */
export interface LogRecord {
  /** Bytes. */
  readonly size: number;
  /** The terminal's clock as if it were UTC, seconds since 1970. */
  readonly wall: number;
  /** Raw numbers; those the log does not hold are absent. */
  readonly position: Readonly<Partial<Record<PositionKey, number>>>;
  readonly count: number;
  /** Index into the header's values, and raw value, `count` of each. */
  readonly index: Uint8Array;
  readonly value: Int32Array;
}

/** Where a stretch without sense lies, and why. */
export type BadRecords = (offset: number, size: number, reason: string) => void;

const MILLISECONDS_OF_DAY = 86_400_000;
/** Days since 1980: 2000 to 2080. */
const FIRST_DAY = 7305;
const LAST_DAY = 36_525;
/** Days; a log is of one job. */
const LONGEST_JOB = 400;
/** 1980-01-01. */
const EPOCH = 315_532_800;
const CUT = -1;
const IMPLAUSIBLE = -2;
const DAMAGED = 'not a record: time, position or value numbers make no sense';

/**
 * Reads a whole binary time log. There are no marks between records: after damage the next place counts at which a plausible record
 * stands with another one (or the end) behind it.
 */
export function* readRecords(bytes: Uint8Array, header: LogHeader, bad: BadRecords): Generator<LogRecord> {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.length);
  const index = new Uint8Array(256);
  const value = new Int32Array(256);
  const fixed = header.position.reduce((sum, { size }) => sum + size, 6);
  let day = Number.NaN;

  /** Where the record at `at` ends. */
  const endOf = (at: number): number => {
    if (at + fixed + 1 > bytes.length) return CUT;
    const days = view.getUint16(at + 4, true);
    if (view.getUint32(at, true) >= MILLISECONDS_OF_DAY || days < FIRST_DAY || days > LAST_DAY || Math.abs(days - day) > LONGEST_JOB) return IMPLAUSIBLE;
    const count = view.getUint8(at + fixed);
    const values = at + fixed + 1;
    const end = values + count * 5;
    for (let i = values; i < Math.min(end, bytes.length); i += 5) if (view.getUint8(i) >= header.values.length) return IMPLAUSIBLE;
    return end > bytes.length ? CUT : end;
  };

  const isLikely = (at: number): boolean => {
    const end = endOf(at);
    return end >= 0 && (end === bytes.length || endOf(end) !== IMPLAUSIBLE);
  };

  const recordAt = (at: number, end: number): LogRecord => {
    day = view.getUint16(at + 4, true);
    const position: Partial<Record<PositionKey, number>> = { ...header.constants };
    let field = at + 6;
    for (const { key, size, isSigned } of header.position) {
      position[key] = size === 1 ? view.getUint8(field) : size === 2 ? view.getUint16(field, true) : isSigned ? view.getInt32(field, true) : view.getUint32(field, true);
      field += size;
    }
    const count = view.getUint8(field);
    for (let i = 0; i < count; i += 1) {
      index[i] = view.getUint8(field + 1 + i * 5);
      value[i] = view.getInt32(field + 2 + i * 5, true);
    }
    return { size: end - at, wall: EPOCH + day * 86_400 + view.getUint32(at, true) / 1000, position, count, index, value };
  };

  for (let at = 0; at < bytes.length;) {
    const end = endOf(at);
    if (end >= 0) {
      yield recordAt(at, end);
      at = end;
      continue;
    }
    let next = at + 1;
    while (next < bytes.length && !isLikely(next)) next += 1;
    bad(at, next - at, end === CUT && next === bytes.length ? 'cut off at the end of the file' : DAMAGED);
    at = next;
  }
}
