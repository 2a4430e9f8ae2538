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
}

export function createUsualLines(batch: FrameBatch, busIndex: UsualLines['busIndex']): UsualLines {
  return { batch, data: new DataView(batch.data.buffer), busIndex, first: 0, second: 0, third: 0, micro: 0 };
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
  if (buffer[start + CLOSE_AT] !== CLOSE || buffer[start + CLOSE_AT + 1] !== 32) return -1;

  const nameStart = start + NAME_AT;
  const latestName = Math.min(nameStart + LONGEST_NAME, to - TAIL - 1);
  let nameEnd = nameStart;
  let hash = 0;
  let byte = buffer[nameEnd] as number;
  while (byte > 32 && nameEnd <= latestName) {
    hash = (Math.imul(hash, 31) + byte) | 0;
    nameEnd += 1;
    byte = buffer[nameEnd] as number;
  }
  const end = nameEnd + TAIL;
  if (byte !== 32 || nameEnd === nameStart || end >= to || buffer[nameEnd + HASH_AFTER_NAME] !== 35 || buffer[end] !== 10) return -1;

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
  const bus = lines.busIndex(buffer, nameStart, nameEnd, hash);
  if (bus > 255) return -1;
  const { batch, data } = lines;
  data.setInt32(count * 8, byte0 | byte1 << 8 | byte2 << 16 | byte3 << 24, true);
  data.setInt32(count * 8 + 4, byte4 | byte5 << 8 | byte6 << 16 | byte7 << 24, true);
  batch.time[count] = (lines.micro + (micro0 * 10_000 + micro1 * 100 + micro2)) / 1e6;
  batch.id[count] = ((id & IDENTIFIER_29) | EXTENDED_FRAME) >>> 0;
  batch.bus[count] = bus;
  batch.length[count] = 8;
  return end + 1;
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
