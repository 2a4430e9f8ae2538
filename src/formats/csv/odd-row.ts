import type { RowBlock } from './row-block.ts';
import { cellValue } from './cell.ts';
import { decodeText, type Dialect } from './dialect.ts';
import { cellsOf } from './record.ts';
import type { TimeReader } from './time-cell.ts';

/** What became of a row that is not plain. */
export type RowOutcome =
  | { readonly kind: 'row' }
  | { readonly kind: 'ignored'; readonly rule: string }
  | { readonly kind: 'rejected'; readonly reason: string };

/** Any row, read by PapaParse. `isCut`: it ends the file without a line end. */
export type OddRowReader = (record: Uint8Array, isCut: boolean, lastCellLength: number) => RowOutcome;

export function createOddRowReader(dialect: Dialect, timeColumn: number, time: TimeReader, block: RowBlock): OddRowReader {
  const { separator, decimalComma, headings, headingText } = dialect;
  const width = headings.length;

  return (record, isCut, lastCellLength) => {
    const text = decodeText(record).replace(/\r?\n$|\r$/, '');
    if (text.trim() === '') return { kind: 'ignored', rule: 'empty line' };
    if (text.startsWith('#')) return { kind: 'ignored', rule: 'comment line' };
    if (text === headingText) return { kind: 'ignored', rule: 'repeated heading row' };
    if (/^\0+$/.test(text)) return { kind: 'rejected', reason: 'zero bytes where a row should be' };
    const cells = cellsOf(text, separator);
    if (cells === undefined) return { kind: 'rejected', reason: 'not one row of cells' };
    if (cells.every((cell) => cell.trim() === '')) return { kind: 'ignored', rule: 'empty line' };
    if (isCut && cells.length < width) return { kind: 'rejected', reason: 'cut off at the end of the file' };
    if (cells.length < width || cells.slice(width).some((cell) => cell.trim() !== '')) {
      return { kind: 'rejected', reason: `${cells.length} cells where the heading row has ${width}` };
    }
    const written = cells[timeColumn] ?? '';
    /* Without a line end, a last cell may be the front part of more, unless it is as long as the one above it. */
    const mayBeCut = isCut && (lastCellLength === 0 || (cells[width - 1] ?? '').length < lastCellLength);
    if (mayBeCut && timeColumn === width - 1) return { kind: 'rejected', reason: 'cut off at the end of the file' };
    const at = time.fromText(written);
    if (at === undefined) return { kind: 'rejected', reason: written.trim() === '' ? 'no time' : `time "${written.trim().slice(0, 40)}" cannot be read` };

    const row = block.rows();
    block.times[row] = at;
    for (let column = 0; column < width; column += 1) {
      if (column === timeColumn) continue;
      const cell = mayBeCut && column === width - 1 ? '' : (cells[column] ?? '');
      const value = cellValue(cell, decimalComma);
      if (value === undefined) block.notNumber(column, cell);
      (block.values[column] as Float64Array)[row] = value ?? Number.NaN;
    }
    block.rowDone();
    return { kind: 'row' };
  };
}
