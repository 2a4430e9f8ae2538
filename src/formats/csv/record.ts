import papa from 'papaparse';

const QUOTE = 34;
const RETURN = 13;
const NEW_LINE = 10;

/** Bytes; a quoted cell may hold line breaks, but a record longer than this has lost its closing quote. */
export const LONGEST_QUOTED_RECORD = 8192;

/**
 * Place behind the record's line end, with line breaks inside quoted cells passed over; -1 when a quote is still open at `to`.
 * A quote opens a cell only as its first byte, is doubled inside, and closes before a separator or a line end (RFC 4180).
 */
export function recordEnd(buffer: Uint8Array, start: number, to: number, separator: number, lineEnd: number): number {
  let position = start;
  let atCellStart = true;
  while (position < to) {
    const byte = buffer[position] as number;
    position += 1;
    if (atCellStart && byte === QUOTE) {
      position = closingQuote(buffer, position, to, separator);
      if (position < 0) return -1;
      atCellStart = false;
    } else if (byte === lineEnd) return position;
    else atCellStart = byte === separator;
  }
  return -1;
}

/** Place behind the closing quote. */
function closingQuote(buffer: Uint8Array, start: number, to: number, separator: number): number {
  for (let position = buffer.indexOf(QUOTE, start); position >= 0 && position < to; position = buffer.indexOf(QUOTE, position)) {
    const next = buffer[position + 1];
    if (position + 1 >= to) return -1;
    if (next === QUOTE) position += 2;
    else if (next === separator || next === NEW_LINE || next === RETURN) return position + 1;
    else position += 1;
  }
  return -1;
}

/** Cells of one record, its line end already taken off; undefined when the text is not one record. */
export function cellsOf(text: string, separator: string): readonly string[] | undefined {
  const { data } = papa.parse<string[]>(text, { delimiter: separator, newline: '\n', header: false });
  return data.length === 1 ? data[0] : undefined;
}
