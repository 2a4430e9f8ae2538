import { UNITS } from '../../../shared/units.ts';
import { cellValue } from './cell.ts';
import { splitHeading } from './headings.ts';
import { cellsOf, recordEnd } from './record.ts';
import { timeHeading } from './time-cell.ts';

/** How a CSV is written, settled from its first 64 KiB. */
export interface Dialect {
  /** One of `,` `;` tab `|`, as text and as byte. */
  readonly separator: string;
  readonly separatorByte: number;
  readonly decimalComma: boolean;
  /** Last byte of a line end: 10, or 13 in files with bare carriage returns. */
  readonly lineEnd: number;
  /** Bytes before the heading row: byte-order mark and lines of remarks. */
  readonly preamble: number;
  readonly preambleLines: number;
  /** Bytes before the first row of data. */
  readonly dataStart: number;
  /** One per column, unique, with the units of a second heading row. */
  readonly headings: readonly string[];
  /** Headings that came more than once. */
  readonly repeated: readonly string[];
  /** The heading row as it stands, for finding it again further down. */
  readonly headingText: string;
  /** Cells of the first rows of data. */
  readonly firstRows: readonly (readonly string[])[];
  /** 0–1: how sure it is that this is a CSV log. */
  readonly confidence: number;
}

const SEPARATORS = [',', ';', '\t', '|'];
const MOST_ROWS_LOOKED_AT = 120;
/** Wide files show how they are written in fewer rows. */
const ENOUGH_CELLS = 4000;
const MOST_PREAMBLE_ROWS = 60;
const BYTE_ORDER_MARK = [0xef, 0xbb, 0xbf];

interface Row {
  readonly start: number;
  readonly end: number;
  readonly text: string;
  readonly cells: readonly string[];
}

/** Undefined when the bytes are no text in rows with a heading row. `timeName` = heading of the time column when it is an unusual one. */
export function detectDialect(head: Uint8Array, timeName?: string): Dialect | undefined {
  if (!isText(head)) return undefined;
  const lineEnd = head.includes(10) || !head.includes(13) ? 10 : 13;
  const found = SEPARATORS.map((separator) => detectWith(head, separator, lineEnd, timeName)).filter((dialect) => dialect !== undefined);
  return found.reduce<Dialect | undefined>((best, dialect) => (best === undefined || weight(dialect) > weight(best) ? dialect : best), undefined);
}

const weight = (dialect: Dialect): number => dialect.confidence + 0.001 * Math.log(dialect.headings.length);

function detectWith(head: Uint8Array, separator: string, lineEnd: number, timeName: string | undefined): Dialect | undefined {
  const rows = firstRows(head, separator, lineEnd);
  const at = headingRow(rows, timeName);
  const heading = rows[at];
  if (heading === undefined) return undefined;
  const unitsRow = rows[at + 1] !== undefined && isUnitsRow((rows[at + 1] as Row).cells, heading.cells) ? (rows[at + 1] as Row) : undefined;
  const data = rows.slice(at + (unitsRow === undefined ? 1 : 2)).filter((row) => row.text.trim() !== '' && !row.text.startsWith('#'));
  const width = heading.cells.length;
  const fitting = data.filter((row) => row.cells.length === width);
  if (data.length > 0 && fitting.length * 2 < data.length) return undefined;

  const { headings, repeated } = uniqueHeadings(heading.cells, unitsRow?.cells);
  const hasTime = headings.some((text) => isTime(text, timeName));
  const share = data.length === 0 ? 1 : fitting.length / data.length;
  const hasNumbers = fitting.some((row) => row.cells.some((cell) => isNumber(cell)));
  if (!hasTime && !hasNumbers) return undefined;
  return {
    separator,
    separatorByte: separator.charCodeAt(0),
    decimalComma: separator !== ',' && usesDecimalComma(fitting.flatMap((row) => row.cells)),
    lineEnd,
    preamble: heading.start,
    preambleLines: at,
    dataStart: unitsRow?.end ?? heading.end,
    headings,
    repeated,
    headingText: heading.text,
    firstRows: fitting.map((row) => row.cells),
    confidence: (hasTime ? 0.9 : 0.55) * (0.8 + 0.2 * share),
  };
}

/** Text with at most a few damaged places; what was never written after a power cut reads as zeros and does not count. */
function isText(head: Uint8Array): boolean {
  let length = head.length;
  while (length > 0 && head[length - 1] === 0) length -= 1;
  let odd = 0;
  for (let i = 0; i < length; i += 1) {
    const byte = head[i] as number;
    if (byte < 32 && byte !== 9 && byte !== 10 && byte !== 13) odd += 1;
  }
  return length > 0 && odd * 20 <= length;
}

function firstRows(head: Uint8Array, separator: string, lineEnd: number): readonly Row[] {
  const rows: Row[] = [];
  let cellsSeen = 0;
  let start = BYTE_ORDER_MARK.every((byte, i) => head[i] === byte) ? BYTE_ORDER_MARK.length : 0;
  while (start < head.length && rows.length < MOST_ROWS_LOOKED_AT && cellsSeen < ENOUGH_CELLS) {
    const end = recordEnd(head, start, head.length, separator.charCodeAt(0), lineEnd);
    /* The last line of a short file may lack its line end; that of a long one is cut by us. */
    const stop = end < 0 ? lineStop(head, start, lineEnd) : end;
    if (end < 0 && rows.length > 1 && stop === head.length) break;
    const text = decodeText(head.subarray(start, stop)).replace(/[\r\n]+$/, '');
    const cells = cellsOf(text, separator) ?? [text];
    rows.push({ start, end: stop, text, cells });
    cellsSeen += cells.length;
    start = stop;
  }
  return rows;
}

function lineStop(head: Uint8Array, start: number, lineEnd: number): number {
  const end = head.indexOf(lineEnd, start);
  return end < 0 ? head.length : end + 1;
}

/** UTF-8, or Windows-1252 where it is not valid UTF-8, as spreadsheets of many offices still write. */
export function decodeText(bytes: Uint8Array): string {
  try {
    return new TextDecoder('utf-8', { fatal: true, ignoreBOM: true }).decode(bytes);
  } catch {
    return new TextDecoder('windows-1252').decode(bytes);
  }
}

/** The first row with a time heading; without any, the first of at least two different texts with as many cells as the rows below it. */
function headingRow(rows: readonly Row[], timeName: string | undefined): number {
  const candidates = rows.slice(0, MOST_PREAMBLE_ROWS);
  const withTime = candidates.findIndex(({ cells }) => cells.length > 1 && cells.some((cell) => isTime(cell, timeName)) && cells.every((cell) => !isNumber(cell)));
  if (withTime >= 0) return withTime;
  return candidates.findIndex(({ cells }, i) => {
    const below = rows.slice(i + 1, i + 6);
    return cells.length > 1 && cells.every((cell) => /[A-Za-z]/.test(cell) && !isNumber(cell) && !/^\d{4}-\d{2}/.test(cell)) && new Set(cells).size === cells.length
      && below.length > 0 && below.every((row) => row.cells.length === cells.length);
  });
}

function isTime(heading: string, timeName: string | undefined): boolean {
  return timeName === undefined ? timeHeading(heading) !== undefined : heading.trim() === timeName || timeHeading(heading) !== undefined;
}

function isNumber(cell: string): boolean {
  const text = cell.trim();
  return /\d/.test(text) && (cellValue(text, false) !== undefined || cellValue(text, true) !== undefined);
}

/** A row below the headings that holds only units, e.g. `s;km/h;rpm`. */
function isUnitsRow(cells: readonly string[], headings: readonly string[]): boolean {
  if (cells.length !== headings.length) return false;
  const units = cells.map(bareUnit).filter((unit) => unit !== '');
  return units.length > 0 && units.every((unit) => UNITS.has(unit) && !/^\d$/.test(unit));
}

const bareUnit = (cell: string): string => cell.trim().replace(/^[[(](.*)[\])]$/, '$1').trim();

function uniqueHeadings(cells: readonly string[], units: readonly string[] | undefined): { headings: string[]; repeated: string[] } {
  const seen = new Map<string, number>();
  const repeated: string[] = [];
  const headings = cells.map((cell, i) => {
    const plain = cell.trim() === '' ? `column ${i + 1}` : cell.trim();
    const unit = bareUnit(units?.[i] ?? '');
    const text = unit !== '' && splitHeading(plain).unit === undefined ? `${plain} [${unit}]` : plain;
    const times = (seen.get(text) ?? 0) + 1;
    seen.set(text, times);
    if (times === 1) return text;
    repeated.push(text);
    return `${text} (${times})`;
  });
  return { headings, repeated };
}

/** Whether commas are decimal marks where they are not separators: some are, or all stand where thousands would be grouped and no point is used. */
function usesDecimalComma(cells: readonly string[]): boolean {
  const numbers = cells.map((cell) => cell.trim()).filter((cell) => /^[+-]?\d[\d.,' \u00A0\u202F\u2009]*$/.test(cell));
  const decided = (mark: string, other: string): boolean => numbers.some((cell) => {
    const parts = cell.split(mark);
    const last = parts[1] ?? '';
    return parts.length === 2 && !last.includes(other) && (last.length !== 3 || cell.includes(other) || /^[+-]?0/.test(cell));
  });
  if (decided(',', '.')) return true;
  return numbers.some((cell) => cell.includes(',')) && !numbers.some((cell) => cell.includes('.'));
}
