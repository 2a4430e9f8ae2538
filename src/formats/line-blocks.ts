/** A stretch of whole lines, or one line that is special. Valid until the next block is asked for. */
export interface LineBlock {
  readonly buffer: Uint8Array;
  /** `buffer[from … to)` holds whole lines, each with its line end. */
  readonly from: number;
  readonly to: number;
  /** Place of `buffer[from]` in the file. */
  readonly offset: number;
  /** The file's last line has no line end; one was put behind it here so that every line ends alike. */
  readonly unterminated: boolean;
  /** A line longer than `LONGEST_LINE`: its bytes are not kept, only their number; `from` = `to`. */
  readonly overlong: number;
}

/** Bytes; longer lines are no log lines but, for example, a zero-filled end after a power cut. */
export const LONGEST_LINE = 65_536;

const LINE_FEED = 10;

/**
 * Cuts chunks into stretches of whole lines, the same lines however the bytes are cut.
 * `lineEnd` is the last byte of a line end: 10, or 13 for files with bare carriage returns.
 */
export async function* lineBlocks(bytes: AsyncIterable<Uint8Array>, lineEnd: number = LINE_FEED): AsyncGenerator<LineBlock> {
  const carry = new Uint8Array(LONGEST_LINE + 2);
  let carried = 0;
  let overlong = 0;
  let offset = 0;

  const carryOn = (chunk: Uint8Array, from: number, to: number): void => {
    const size = to - from;
    if (overlong > 0) overlong += size;
    else if (carried + size > LONGEST_LINE) overlong = carried + size;
    else {
      carry.set(chunk.subarray(from, to), carried);
      carried += size;
    }
  };

  const carriedLine = (unterminated: boolean): LineBlock => {
    const length = overlong > 0 ? overlong : carried;
    if (unterminated && overlong === 0) {
      carry[carried] = lineEnd;
      carried += 1;
    }
    const block = { buffer: carry, from: 0, to: overlong > 0 ? 0 : carried, offset, unterminated, overlong };
    offset += length;
    carried = 0;
    overlong = 0;
    return block;
  };

  for await (const given of bytes) {
    /* Always the same kind of array: byte loops over now a Buffer, now a Uint8Array run a third slower. */
    const chunk = new Uint8Array(given.buffer, given.byteOffset, given.length);
    let start = 0;
    if (carried > 0 || overlong > 0) {
      const first = chunk.indexOf(lineEnd);
      start = first < 0 ? chunk.length : first + 1;
      carryOn(chunk, 0, start);
      if (first < 0) continue;
      yield carriedLine(false);
    }
    const end = chunk.lastIndexOf(lineEnd) + 1;
    if (end > start) {
      yield { buffer: chunk, from: start, to: end, offset, unterminated: false, overlong: 0 };
      offset += end - start;
      start = end;
    }
    carryOn(chunk, start, chunk.length);
  }
  if (carried > 0 || overlong > 0) yield carriedLine(true);
}
