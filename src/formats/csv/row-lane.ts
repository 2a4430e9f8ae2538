import { LONGEST_LINE } from '../line-blocks.ts';
import type { RowBlock } from './row-block.ts';
import { cellValue } from './cell.ts';
import { decodeText, type Dialect } from './dialect.ts';
import type { TimeReader } from './time-cell.ts';

const BLANK = 32;
const QUOTE = 34;
const PLUS = 43;
const MINUS = 45;
const RETURN = 13;
const ZERO = 48;
/** Beyond this a whole number is no longer exact in a double. */
const LARGEST_EXACT = 2 ** 53;
/** 10^22 is the largest power of ten that is exact in a double, so that one division rounds once. */
const POWER_OF_TEN = Float64Array.from({ length: 23 }, (_, power) => Number(`1e${power}`));

export interface RowLane {
  /**
   * Reads the plain row that starts at `start` into the block's next row and gives the place behind its line end;
   * -1 = the row is not plain (quotes, another number of cells, a time that cannot be read), nothing is taken.
   */
  readonly read: (buffer: Uint8Array, start: number) => number;
  /** Bytes in the last cell of the last row that had one there. */
  readonly lastCellLength: () => number;
}

/**
 * Plain numeric rows straight from the bytes. Decimal numbers of at most 2^53 and 22 decimals come out exactly as `Number(text)`
 * gives them (both roundings are single; Clinger 1990); every other cell goes through `cellValue` as text.
 */
export function createRowLane(dialect: Dialect, timeColumn: number, time: TimeReader, block: RowBlock): RowLane {
  const { separatorByte: separator, lineEnd, decimalComma } = dialect;
  const point = decimalComma ? 44 : 46;
  const width = dialect.headings.length;
  const { times, values } = block;
  const isClock = time.kind.kind === 'clock';
  /** Cells of this row that are no numbers: they count only once the row turns out to be whole. */
  const texts: { readonly column: number; readonly text: string }[] = [];
  let lastCell = 0;

  const cellStop = (buffer: Uint8Array, start: number): number => {
    let position = start;
    for (let byte = buffer[position] as number; byte !== separator && byte !== lineEnd; byte = buffer[position] as number) position += 1;
    return position;
  };

  /** A cell that is no plain decimal number. */
  const slowCell = (buffer: Uint8Array, from: number, to: number, column: number): number => {
    const text = decodeText(buffer.subarray(from, to));
    const value = cellValue(text, decimalComma);
    if (value !== undefined) return value;
    texts.push({ column, text });
    return Number.NaN;
  };

  const clockCell = (buffer: Uint8Array, from: number, to: number): number => {
    const stop = buffer[to - 1] === RETURN && to > from ? to - 1 : to;
    const quick = time.fromBytes(buffer, from, stop);
    return Number.isNaN(quick) ? (time.fromText(decodeText(buffer.subarray(from, stop))) ?? Number.NaN) : quick;
  };

  const read = (buffer: Uint8Array, start: number): number => {
    const row = block.rows();
    texts.length = 0;
    let position = start;
    let column = 0;
    for (;;) {
      const cell = position;
      if (buffer[position] === QUOTE) return -1;
      if (isClock && column === timeColumn) {
        position = cellStop(buffer, position);
        const at = clockCell(buffer, cell, position);
        if (Number.isNaN(at)) return -1;
        times[row] = at;
      } else {
        let byte = buffer[position] as number;
        while (byte === BLANK) byte = buffer[(position += 1)] as number;
        const sign = byte;
        if (sign === MINUS || sign === PLUS) byte = buffer[(position += 1)] as number;
        const digits = position;
        let mantissa = 0;
        let digit = byte - ZERO;
        while (digit >= 0 && digit <= 9) {
          mantissa = mantissa * 10 + digit;
          digit = (buffer[(position += 1)] as number) - ZERO;
        }
        let decimals = 0;
        if (digit + ZERO === point) {
          const pointPlace = position;
          digit = (buffer[(position += 1)] as number) - ZERO;
          while (digit >= 0 && digit <= 9) {
            mantissa = mantissa * 10 + digit;
            digit = (buffer[(position += 1)] as number) - ZERO;
          }
          decimals = position - pointPlace - 1;
          if (decimals === 0 && pointPlace === digits) mantissa = Number.NaN;
        } else if (position === digits) mantissa = Number.NaN;
        byte = digit + ZERO;
        while (byte === BLANK) byte = buffer[(position += 1)] as number;
        if (byte === RETURN && lineEnd !== RETURN && buffer[position + 1] === lineEnd) byte = buffer[(position += 1)] as number;

        let value: number;
        if (mantissa < LARGEST_EXACT && decimals <= 22 && (byte === separator || byte === lineEnd)) {
          value = decimals === 0 ? mantissa : mantissa / (POWER_OF_TEN[decimals] as number);
          if (sign === MINUS) value = -value;
        } else if (digits === cell && (position === cell || buffer[cell] === RETURN) && (byte === separator || byte === lineEnd)) value = Number.NaN;
        else if (column === timeColumn) return -1;
        else {
          position = cellStop(buffer, cell);
          value = slowCell(buffer, cell, position, column);
        }
        if (column !== timeColumn) (values[column] as Float64Array)[row] = value;
        else if (Number.isNaN(value)) return -1;
        else times[row] = time.fromNumber(value);
      }
      column += 1;
      const byte = buffer[position];
      if (byte === lineEnd) {
        if (column !== width || position - start >= LONGEST_LINE) return -1;
        const length = position - cell - (buffer[position - 1] === RETURN ? 1 : 0);
        if (length > 0) lastCell = length;
        for (const { column: place, text } of texts) block.notNumber(place, text);
        block.rowDone();
        return position + 1;
      }
      if (column === width) return -1;
      position += 1;
    }
  };

  return { read, lastCellLength: () => lastCell };
}
