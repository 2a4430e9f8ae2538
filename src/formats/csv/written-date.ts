/** Which number comes first in dates such as 05/06/2026; `unclear` when nothing tells. */
export type DateOrder = 'day-first' | 'month-first' | 'unclear';

/** A clock reading taken apart; the month counts from 1. */
export interface WrittenTime {
  readonly year: number;
  readonly month: number;
  readonly day: number;
  readonly hour: number;
  readonly minute: number;
  readonly second: number;
  /** Digits behind the second's point. */
  readonly fraction: string;
}

const WRITTEN = /^(\d{1,4})([./-])(\d{1,2})\2(\d{2}|\d{4})(?:[ T,]{1,2}(\d{1,2}):(\d{2})(?::(\d{2})(?:[.,](\d{1,9}))?)?(?: ?([AaPp])\.?[Mm]\.?)?)?$/;

/** Dates as people and spreadsheets write them: 2026/05/06, 6.5.2026 (points: the day comes first), 05/06/2026 (by `order`), with 12- or 24-hour times. */
export function parseWritten(text: string, order: DateOrder): WrittenTime | undefined {
  const match = WRITTEN.exec(text);
  if (match === null) return undefined;
  const [, first = '', mark, second = '', third = '', hour = '0', minute = '0', seconds = '0', fraction = '', half] = match;
  const date = dateOf(first, mark === '.' ? 'day-first' : order, second, third);
  const hours = Number(hour);
  if (date === undefined || (half !== undefined && (hours < 1 || hours > 12))) return undefined;
  const shifted = half === undefined ? hours : (hours % 12) + (half.toLowerCase() === 'p' ? 12 : 0);
  return { ...date, hour: shifted, minute: Number(minute), second: Number(seconds), fraction };
}

function dateOf(first: string, order: DateOrder, second: string, third: string): Pick<WrittenTime, 'year' | 'month' | 'day'> | undefined {
  if (first.length === 4) return third.length === 2 ? { year: Number(first), month: Number(second), day: Number(third) } : undefined;
  if (first.length > 2 || order === 'unclear') return undefined;
  const year = third.length === 2 ? 2000 + Number(third) : Number(third);
  return order === 'day-first' ? { year, month: Number(second), day: Number(first) } : { year, month: Number(first), day: Number(second) };
}

/** The order that these cells show; undefined when none of them is a date that needs one. */
export function dateOrder(cells: readonly string[]): DateOrder | undefined {
  const dates = cells.map((cell) => WRITTEN.exec(cell.trim())).filter((match) => match !== null && match[2] !== '.' && (match[1] ?? '').length <= 2);
  if (dates.length === 0) return undefined;
  if (dates.some((match) => Number(match?.[1]) > 12)) return 'day-first';
  return dates.some((match) => Number(match?.[3]) > 12) ? 'month-first' : 'unclear';
}
