import { BATCH_FRAMES, createFrameBatch, EXTENDED_FRAME, type LogSink } from '../log-format.ts';
import { LONGEST_LINE, type LineBlock } from '../line-blocks.ts';
import { classifyOddLine } from './odd-line.ts';
import { HEX, IDENTIFIER_29, NOT_HEX, NO_DATA_FRAME, createUsualLines, readUsualLine, type UsualLines } from './usual-line.ts';

const NEW_LINE = 10;
const RETURN = 13;
const BLANK = 32;
const HASH = 35;
const OPEN = 40;
const CLOSE = 41;
const DOT = 46;
const ZERO = 48;
const UNDERSCORE = 95;

const IDENTIFIER_11 = 0x7ff;
const POWER_OF_TEN = [1, 10, 100, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9];

export interface FrameLane {
  readonly lines: (block: LineBlock) => void;
  readonly finish: () => void;
}

/** What the line loop needs to know of a log, and where it stands. */
interface LaneState {
  readonly usual: UsualLines;
  readonly flush: () => void;
  readonly accepted: (bytes: number, records: number) => void;
  /** A line without its line end; `size` counts that too. */
  readonly oddLine: (buffer: Uint8Array, from: number, end: number, offset: number, size: number, cut: boolean) => void;
  /** Lines read, for naming places. */
  line: number;
}

/** Each line is accounted for by its length, line end included. */
export function createFrameLane(sink: LogSink): FrameLane {
  const batch = createFrameBatch();
  const busTable = createBusTable(sink);
  const lost = new Map<string, number>();

  const flush = (): void => {
    if (batch.count > 0) sink.frames(batch);
    batch.count = 0;
  };

  const state: LaneState = {
    usual: createUsualLines(batch, busTable.indexOf),
    flush,
    accepted: sink.accepted,
    oddLine: (buffer, from, end, offset, size, cut) => {
      if (size > LONGEST_LINE) {
        sink.rejected({ offset, line: state.line }, size, tooLong(size));
        return;
      }
      const text = Buffer.from(buffer.buffer, buffer.byteOffset + from, end - from).toString('latin1').replace(/\r$/, '');
      const odd = classifyOddLine(text);
      if (odd.kind === 'ignored') {
        sink.ignored(size, odd.rule, 1);
        if (odd.lost !== undefined) lost.set(odd.lost.bus, odd.lost.total);
      } else sink.rejected({ offset, line: state.line }, size, cut ? 'cut off at the end of the file' : odd.reason);
    },
    line: 0,
  };

  return {
    lines: (block) => {
      if (block.overlong > 0) {
        state.line += 1;
        sink.rejected({ offset: block.offset, line: state.line }, block.overlong, tooLong(block.overlong));
      } else readLines(state, block.buffer, block.from, block.to, block.offset, block.unterminated);
    },
    finish: () => {
      flush();
      for (const [bus, total] of lost) sink.note(`The recorder itself reports ${total} lost frames on ${bus}.`);
    },
  };
}

/**
 * Reads classic data frames straight from the bytes into the reused batch, one pass, no strings; lines of another shape than usual digit by digit, every other line goes to `classifyOddLine`.
 * One function for all logs, with its state handed in, so that it is compiled once and not once per log.
 */
function readLines(state: LaneState, buffer: Uint8Array, from: number, to: number, fileOffset: number, unterminated: boolean): void {
  const { usual } = state;
  const { batch, busIndex } = usual;
  const view = new DataView(buffer.buffer, buffer.byteOffset, buffer.length);
  const { time: times, id: ids, bus: buses, length: lengths, data } = batch;
  let position = from;
  let count = batch.count;
  let accepted = 0;
  let acceptedBytes = 0;

  while (position < to) {
    const start = position;
    state.line += 1;
    const after = readUsualLine(usual, buffer, view, position, to, count);
    if (after > 0) {
      position = after;
      count += 1;
      accepted += 1;
      acceptedBytes += after - start;
      if (count === BATCH_FRAMES) {
        batch.count = count;
        state.flush();
        count = 0;
      }
      continue;
    }
    frame: {
      if (buffer[position] !== OPEN) break frame;
      position += 1;
      let seconds = 0;
      let digit = (buffer[position] as number) - ZERO;
      while (digit >= 0 && digit <= 9) {
        seconds = seconds * 10 + digit;
        position += 1;
        digit = (buffer[position] as number) - ZERO;
      }
      const secondDigits = position - start - 1;
      if (secondDigits === 0 || secondDigits > 12 || buffer[position] !== DOT) break frame;
      position += 1;
      const fractionStart = position;
      let fraction = 0;
      digit = (buffer[position] as number) - ZERO;
      while (digit >= 0 && digit <= 9) {
        fraction = fraction * 10 + digit;
        position += 1;
        digit = (buffer[position] as number) - ZERO;
      }
      const fractionDigits = position - fractionStart;
      if (fractionDigits === 0 || fractionDigits > 9 || buffer[position] !== CLOSE || buffer[position + 1] !== BLANK) break frame;
      position += 2;

      const blanks = position;
      while (buffer[position] === BLANK) position += 1;
      if (position - blanks > 64) break frame;
      const nameStart = position;
      let hash = 0;
      let byte = buffer[position] as number;
      while (byte > BLANK) {
        hash = (Math.imul(hash, 31) + byte) | 0;
        position += 1;
        byte = buffer[position] as number;
      }
      const nameEnd = position;
      if (byte !== BLANK || nameEnd === nameStart || nameEnd - nameStart > 32) break frame;
      position += 1;

      const idStart = position;
      let id = 0;
      let nibble = HEX[buffer[position] as number] as number;
      while (nibble !== NOT_HEX) {
        id = (id << 4) | nibble;
        position += 1;
        nibble = HEX[buffer[position] as number] as number;
      }
      if (buffer[position] !== HASH) break frame;
      const idDigits = position - idStart;
      if (idDigits === 8) {
        if ((id & NO_DATA_FRAME) !== 0) break frame;
        id = ((id & IDENTIFIER_29) | EXTENDED_FRAME) >>> 0;
      } else if (idDigits !== 3 || id > IDENTIFIER_11) break frame;
      position += 1;

      const cell = count * 8;
      let length = 0;
      while (length < 8) {
        const high = HEX[buffer[position] as number] as number;
        if (high === NOT_HEX) {
          if (buffer[position] !== DOT || length === 0 || (HEX[buffer[position + 1] as number] as number) === NOT_HEX) break;
          position += 1;
          continue;
        }
        const low = HEX[buffer[position + 1] as number] as number;
        if (low === NOT_HEX) break frame;
        data[cell + length] = (high << 4) | low;
        length += 1;
        position += 2;
      }
      /* Raw data length code 9 … 15 on a full classic frame: the bytes on the bus were still eight. */
      if (buffer[position] === UNDERSCORE && length === 8) {
        const code = HEX[buffer[position + 1] as number] as number;
        if (code < 9 || code === NOT_HEX) break frame;
        position += 2;
      }
      /* Direction mark of `candump -x`. */
      if (buffer[position] === BLANK && (buffer[position + 1] === 82 || buffer[position + 1] === 84)) position += 2;
      if (buffer[position] === RETURN) position += 1;
      if (buffer[position] !== NEW_LINE || position >= to) break frame;
      position += 1;
      /* Without a line end, data of fewer than eight bytes may be the front part of more. */
      if (unterminated && length < 8) break frame;

      const bus = busIndex(buffer, nameStart, nameEnd, hash);
      if (bus > 255) break frame;
      for (let pad = length; pad < 8; pad += 1) data[cell + pad] = 0xff;
      const scale = POWER_OF_TEN[fractionDigits] as number;
      /* Up to six digits the sum is a whole number below 2^53, so that the division rounds as `Number(text)` does. */
      times[count] = fractionDigits <= 6 ? (seconds * scale + fraction) / scale : seconds + fraction / scale;
      ids[count] = id;
      buses[count] = bus;
      lengths[count] = length;
      count += 1;
      accepted += 1;
      acceptedBytes += position - start;
      if (count === BATCH_FRAMES) {
        batch.count = count;
        state.flush();
        count = 0;
      }
      continue;
    }

    const end = buffer.indexOf(NEW_LINE, start);
    position = end + 1;
    state.oddLine(buffer, start, end, fileOffset + start - from, position - start - (unterminated ? 1 : 0), unterminated);
  }

  batch.count = count;
  if (accepted > 0) state.accepted(acceptedBytes - (unterminated ? 1 : 0), accepted);
}

const tooLong = (size: number): string => `line of ${size} bytes, longest allowed is ${LONGEST_LINE}`;

/** Interface names → bus numbers without making strings: told apart by hash, length and bytes. */
function createBusTable(sink: LogSink): { readonly indexOf: (buffer: Uint8Array, from: number, to: number, hash: number) => number } {
  const known: { readonly hash: number; readonly name: Uint8Array; readonly bus: number }[] = [];

  return {
    indexOf: (buffer, from, to, hash) => {
      for (let i = 0; i < known.length; i += 1) {
        const entry = known[i] as (typeof known)[number];
        if (entry.hash === hash && entry.name.length === to - from && isSame(entry.name, buffer, from)) return entry.bus;
      }
      /* More interfaces than a batch can number are damage; they are not remembered, so that the search stays short. */
      if (known.length > 255) return 256;
      const name = buffer.slice(from, to);
      const bus = sink.bus(Buffer.from(name).toString('latin1'));
      known.push({ hash, name, bus });
      return bus;
    },
  };
}

function isSame(name: Uint8Array, buffer: Uint8Array, from: number): boolean {
  for (let i = 0; i < name.length; i += 1) if (name[i] !== buffer[from + i]) return false;
  return true;
}
