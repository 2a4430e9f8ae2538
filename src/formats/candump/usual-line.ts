import { EXTENDED_FRAME, type FrameBatch } from '../log-format.ts';

/* `(1746532800.001079) can1 0CF00400#F87D7D4638FFFFFF`: ten digits, six digits, 29-bit identifier, eight bytes, line feed. */
const SECOND_DIGITS = 10;
const DOT_AT = 11;
const MICRO_AT = 12;
const CLOSE_AT = 18;
const NAME_AT = 20;
const HASH_AFTER_NAME = 9;
/** From the blank after the name to the line feed. */
const TAIL = 26;
const LONGEST_NAME = 32;
/** `can0`. */
const USUAL_NAME = 4;
const BLANK = 32;
const NO_BUS = 256;
const CLOSE = 41;
/** Flags of an 8-digit identifier that is no data frame: remote or error. */
export const NO_DATA_FRAME = 0x60000000;
export const IDENTIFIER_29 = 0x1fffffff;

export const NOT_HEX = 0xff;
export const HEX = hexDigits();

function hexDigits(): Uint8Array {
  const table = new Uint8Array(256).fill(NOT_HEX);
  for (let digit = 0; digit < 16; digit += 1) {
    table[digit.toString(16).charCodeAt(0)] = digit;
    table[digit.toString(16).toUpperCase().charCodeAt(0)] = digit;
  }
  return table;
}

/** Two digits at once, the first in the lower byte of the index → their number, −1 when they are none. */
const HEX_PAIR = pairs(16, 'abcdefABCDEF');
const DECIMAL_PAIR = pairs(10, '');

function pairs(base: number, letters: string): Int16Array {
  const table = new Int16Array(0x10000).fill(-1);
  const digits = `0123456789${letters}`;
  for (const first of digits) for (const second of digits) table[first.charCodeAt(0) | second.charCodeAt(0) << 8] = Number.parseInt(first + second, base);
  return table;
}

/** What reading one usual line needs, and what it remembers of the line before: most share its second. */
export interface UsualLines {
  readonly batch: FrameBatch;
  /** Over `batch.data`, for whole words. */
  readonly data: DataView;
  readonly busIndex: (buffer: Uint8Array, from: number, to: number, hash: number) => number;
  /** The bytes before the fraction as three words, and what they say, in microseconds. */
  first: number;
  second: number;
  third: number;
  micro: number;
  /** Two interface names of four characters as words, with the blank behind them checked apart, and their buses: most logs have no other. */
  name: number;
  bus: number;
  otherName: number;
  otherBus: number;
}

export function createUsualLines(batch: FrameBatch, busIndex: UsualLines['busIndex']): UsualLines {
  return { batch, data: new DataView(batch.data.buffer), busIndex, first: 0, second: 0, third: 0, micro: 0, name: 0, bus: 0, otherName: 0, otherBus: 0 };
}

/**
 * Reads the line at `start` into place `count` of the batch when it is of the usual shape, two digits at a time and all of them
 * checked at once. Gives the place after the line feed, or −1 (then the batch's place holds nothing of meaning).
 */
export function readUsualLine(lines: UsualLines, buffer: Uint8Array, view: DataView, start: number, to: number, count: number): number {
  if (to - start < NAME_AT + 1 + TAIL) return -1;
  const first = view.getInt32(start, true);
  const second = view.getInt32(start + 4, true);
  const third = view.getInt32(start + 8, true);
  if ((first !== lines.first || second !== lines.second || third !== lines.third) && !readSecond(lines, buffer, start, first, second, third)) return -1;
  if (buffer[start + CLOSE_AT] !== CLOSE || buffer[start + CLOSE_AT + 1] !== BLANK) return -1;

  const nameStart = start + NAME_AT;
  const nameEnd = buffer[nameStart + USUAL_NAME] === BLANK ? nameStart + USUAL_NAME : endOfName(buffer, nameStart, to - TAIL - 1);
  const end = nameEnd + TAIL;
  if (nameEnd < 0 || end >= to || buffer[nameEnd + HASH_AFTER_NAME] !== 35 || buffer[end] !== 10) return -1;
  const name = nameEnd === nameStart + USUAL_NAME ? view.getInt32(nameStart, true) : 0;

  const at = nameEnd + 1;
  const micro0 = decimals(view, start + MICRO_AT);
  const micro1 = decimals(view, start + MICRO_AT + 2);
  const micro2 = decimals(view, start + MICRO_AT + 4);
  const id0 = hex(view, at);
  const id1 = hex(view, at + 2);
  const id2 = hex(view, at + 4);
  const id3 = hex(view, at + 6);
  const byte0 = hex(view, at + 9);
  const byte1 = hex(view, at + 11);
  const byte2 = hex(view, at + 13);
  const byte3 = hex(view, at + 15);
  const byte4 = hex(view, at + 17);
  const byte5 = hex(view, at + 19);
  const byte6 = hex(view, at + 21);
  const byte7 = hex(view, at + 23);
  if ((micro0 | micro1 | micro2 | id0 | id1 | id2 | id3 | byte0 | byte1 | byte2 | byte3 | byte4 | byte5 | byte6 | byte7) < 0) return -1;
  const id = id0 << 24 | id1 << 16 | id2 << 8 | id3;
  if ((id & NO_DATA_FRAME) !== 0) return -1;
  const bus = name !== 0 && name === lines.name ? lines.bus : name !== 0 && name === lines.otherName ? lines.otherBus : findBus(lines, buffer, nameStart, nameEnd, name);
  if (bus >= NO_BUS) return -1;
  const { batch, data } = lines;
  data.setInt32(count * 8, byte0 | byte1 << 8 | byte2 << 16 | byte3 << 24, true);
  data.setInt32(count * 8 + 4, byte4 | byte5 << 8 | byte6 << 16 | byte7 << 24, true);
  batch.time[count] = (lines.micro + (micro0 * 10_000 + micro1 * 100 + micro2)) / 1e6;
  batch.id[count] = ((id & IDENTIFIER_29) | EXTENDED_FRAME) >>> 0;
  batch.bus[count] = bus;
  batch.length[count] = 8;
  return end + 1;
}

/** Place of the blank after the name; −1 when there is no name or it is too long. */
function endOfName(buffer: Uint8Array, from: number, latest: number): number {
  let end = from;
  while ((buffer[end] as number) > BLANK && end <= Math.min(from + LONGEST_NAME, latest)) end += 1;
  return buffer[end] === BLANK && end > from ? end : -1;
}

function findBus(lines: UsualLines, buffer: Uint8Array, from: number, to: number, name: number): number {
  let hash = 0;
  for (let at = from; at < to; at += 1) {
    const byte = buffer[at] as number;
    if (byte <= BLANK) return NO_BUS;
    hash = (Math.imul(hash, 31) + byte) | 0;
  }
  const bus = lines.busIndex(buffer, from, to, hash);
  if (name !== 0 && bus < NO_BUS) {
    lines.otherName = lines.name;
    lines.otherBus = lines.bus;
    lines.name = name;
    lines.bus = bus;
  }
  return bus;
}

const hex = (view: DataView, at: number): number => HEX_PAIR[view.getUint16(at, true)] as number;
const decimals = (view: DataView, at: number): number => DECIMAL_PAIR[view.getUint16(at, true)] as number;

/** `(1746532800.`; false when it is something else. */
function readSecond(lines: UsualLines, buffer: Uint8Array, start: number, first: number, second: number, third: number): boolean {
  if (buffer[start] !== 40 || buffer[start + DOT_AT] !== 46) return false;
  let seconds = 0;
  for (let at = start + 1; at <= start + SECOND_DIGITS; at += 1) {
    const digit = (buffer[at] as number) - 48;
    if (!(digit >= 0 && digit <= 9)) return false;
    seconds = seconds * 10 + digit;
  }
  lines.first = first;
  lines.second = second;
  lines.third = third;
  lines.micro = seconds * 1e6;
  return true;
}
