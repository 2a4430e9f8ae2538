import { LONGEST_LINE } from '../line-blocks.ts';
import type { RowBlock } from './row-block.ts';
import { cellValue } from './cell.ts';
import { decodeText, type Dialect } from './dialect.ts';
import type { TimeReader } from './time-cell.ts';

const QUOTE = 34;
const PLUS = 43;
const MINUS = 45;
const RETURN = 13;
const ZERO = 48;
/** So many digits fit 32-bit arithmetic. */
const MOST_DIGITS = 9;
/** Beyond this a whole number is no longer exact in a double. */
const LARGEST_EXACT = 2 ** 53;
/** 10^22 is the largest power of ten that is exact in a double, so that one division rounds once. */
const POWER_OF_TEN = Float64Array.from({ length: 23 }, (_, power) => Number(`1e${power}`));

/** What the row loop needs to know of a file, and what it remembers from row to row. */
export interface RowLane {
  readonly width: number;
  readonly timeColumn: number;
  readonly time: TimeReader;
  readonly block: RowBlock;
  readonly decimalComma: boolean;
  readonly separator: number;
  readonly lineEnd: number;
  readonly point: number;
  /** Cells of the present row that are no numbers: they count only once the row turns out to be whole. */
  readonly texts: { readonly column: number; readonly text: string }[];
  /** Bytes in the last cell of the last row that had one there. */
  lastCellLength: number;
}

export function createRowLane(dialect: Dialect, timeColumn: number, time: TimeReader, block: RowBlock): RowLane {
  const { separatorByte: separator, lineEnd, decimalComma, headings } = dialect;
  return { width: headings.length, timeColumn, time, block, decimalComma, separator, lineEnd, point: decimalComma ? 44 : 46, texts: [], lastCellLength: 0 };
}

/**
 * Reads the plain numeric row that starts at `start` into the block's next row and gives the place behind its line end, which must
 * be there; -1 = the row is not plain (quotes, another number of cells, a time that cannot be read): nothing is taken.
 * Decimal numbers of at most 2^53 and 22 decimals come out exactly as `Number(text)` gives them (both roundings are single;
 * Clinger 1990); every other cell goes through `cellValue` as text.
 * One function for all files, with its state handed in, so that it is compiled once and not once per file.
 */
export function readPlainRow(lane: RowLane, buffer: Uint8Array, start: number): number {
  const { width, timeColumn, block, texts } = lane;
  const { values } = block;
  /* As the digit loop sees these bytes. */
  const pointDigit = (lane.point - ZERO) >>> 0;
  const separatorDigit = (lane.separator - ZERO) >>> 0;
  const lineEndDigit = (lane.lineEnd - ZERO) >>> 0;
  const row = block.rows();
  let position = start;
  let column = 0;
  texts.length = 0;
  for (;;) {
    const cell = position;
    /* The usual cell: a sign perhaps, one to nine digits with a point among them, a separator or line end. */
    const isNegative = buffer[position] === MINUS;
    if (isNegative) position += 1;
    const digits = position;
    let number = 0;
    let digit = ((buffer[position] as number) - ZERO) >>> 0;
    while (digit <= 9) {
      number = (number * 10 + digit) | 0;
      digit = ((buffer[(position += 1)] as number) - ZERO) >>> 0;
    }
    const wholeDigits = position - digits;
    let decimals = 0;
    if (digit === pointDigit && wholeDigits > 0) {
      const pointPlace = position;
      digit = ((buffer[(position += 1)] as number) - ZERO) >>> 0;
      while (digit <= 9) {
        number = (number * 10 + digit) | 0;
        digit = ((buffer[(position += 1)] as number) - ZERO) >>> 0;
      }
      decimals = position - pointPlace - 1;
    }
    if (wholeDigits > 0 && wholeDigits + decimals <= MOST_DIGITS && (digit === separatorDigit || digit === lineEndDigit) && column !== timeColumn) {
      const value = decimals === 0 ? number : number / (POWER_OF_TEN[decimals] as number);
      (values[column] as Float64Array)[row] = isNegative ? -value : value;
    } else {
      position = readOtherCell(lane, buffer, cell, column, row);
      if (position < 0) return -1;
      digit = ((buffer[position] as number) - ZERO) >>> 0;
    }
    column += 1;
    if (digit === lineEndDigit) {
      if (column !== width || position - start >= LONGEST_LINE) return -1;
      const length = position - cell - (buffer[position - 1] === RETURN ? 1 : 0);
      if (length > 0) lane.lastCellLength = length;
      for (const { column: place, text } of texts) block.notNumber(place, text);
      block.rowDone();
      return position + 1;
    }
    if (column === width) return -1;
    position += 1;
  }
}

/** Whatever the loop above does not read itself; gives the place behind the cell, or -1. */
function readOtherCell(lane: RowLane, buffer: Uint8Array, cell: number, column: number, row: number): number {
  if (buffer[cell] === QUOTE) return -1;
  const { separator, lineEnd } = lane;
  let stop = cell;
  for (let byte = buffer[stop] as number; byte !== separator && byte !== lineEnd; byte = buffer[stop] as number) stop += 1;
  if (column === lane.timeColumn) {
    const at = timeIn(lane.time, buffer, cell, stop);
    lane.block.times[row] = at;
    return Number.isNaN(at) ? -1 : stop;
  }
  const isEmpty = stop === cell || (stop === cell + 1 && buffer[cell] === RETURN);
  const value = isEmpty ? Number.NaN : plainNumber(buffer, cell, stop, lane.point);
  (lane.block.values[column] as Float64Array)[row] = Number.isNaN(value) && !isEmpty ? textCell(lane, buffer, cell, stop, column) : value;
  return stop;
}

function timeIn(time: TimeReader, buffer: Uint8Array, from: number, to: number): number {
  const stop = buffer[to - 1] === RETURN && to > from ? to - 1 : to;
  const quick = time.kind.kind === 'clock' ? time.fromBytes(buffer, from, stop) : Number.NaN;
  return Number.isNaN(quick) ? (time.fromText(decodeText(buffer.subarray(from, stop))) ?? Number.NaN) : quick;
}

function textCell(lane: RowLane, buffer: Uint8Array, from: number, to: number, column: number): number {
  const text = decodeText(buffer.subarray(from, to));
  const value = cellValue(text, lane.decimalComma);
  if (value !== undefined) return value;
  lane.texts.push({ column, text });
  return Number.NaN;
}

/** A plain decimal number, also of more digits than 32 bits hold or before a carriage return; NaN for anything else. */
function plainNumber(buffer: Uint8Array, from: number, to: number, point: number): number {
  const stop = buffer[to - 1] === RETURN ? to - 1 : to;
  let position = from;
  const sign = buffer[position];
  if (sign === MINUS || sign === PLUS) position += 1;
  const digits = position;
  let number = 0;
  let pointPlace = -1;
  for (; position < stop; position += 1) {
    const byte = buffer[position] as number;
    if (byte >= ZERO && byte <= 57) number = number * 10 + (byte - ZERO);
    else if (byte === point && pointPlace < 0 && position > digits) pointPlace = position;
    else return Number.NaN;
  }
  const decimals = pointPlace < 0 ? 0 : stop - pointPlace - 1;
  if (position === digits || !(number < LARGEST_EXACT) || decimals > 22) return Number.NaN;
  const value = decimals === 0 ? number : number / (POWER_OF_TEN[decimals] as number);
  return sign === MINUS ? -value : value;
}
