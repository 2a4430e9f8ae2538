import { EXTENDED_FRAME, type FrameBatch } from '../log-format.ts';

/* `(1746532800.001079) can1 0CF00400#F87D7D4638FFFFFF`: ten digits, six digits, 29-bit identifier, eight bytes, line feed. */
const SECOND_DIGITS = 10;
const DOT_AT = 11;
const MICRO_AT = 12;
const NAME_AT = 20;
const HASH_AFTER_NAME = 9;
/** From the blank after the name to the line feed. */
const TAIL = 26;
const LONGEST_NAME = 32;
/** `) ` as it lies in the upper half of a word. */
const CLOSE_BLANK = 0x2029;
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
 * Reads the line at `start` into place `count` of the batch when it is of the usual shape, four digits to a word and all of them
 * checked at once. Gives the place after the line feed, or −1 (then the batch's place holds nothing of meaning).
 */
export function readUsualLine(lines: UsualLines, buffer: Uint8Array, view: DataView, start: number, to: number, count: number): number {
  if (to - start < NAME_AT + 1 + TAIL) return -1;
  const first = view.getInt32(start, true);
  const second = view.getInt32(start + 4, true);
  const third = view.getInt32(start + 8, true);
  if ((first !== lines.first || second !== lines.second || third !== lines.third) && !readSecond(lines, buffer, start, first, second, third)) return -1;
  const upper = view.getInt32(start + MICRO_AT, true);
  const lower = view.getInt32(start + MICRO_AT + 4, true);
  if (lower >>> 16 !== CLOSE_BLANK) return -1;

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

  const id0 = view.getInt32(nameEnd + 1, true);
  const id1 = view.getInt32(nameEnd + 5, true);
  const data0 = view.getInt32(nameEnd + 10, true);
  const data1 = view.getInt32(nameEnd + 14, true);
  const data2 = view.getInt32(nameEnd + 18, true);
  const data3 = view.getInt32(nameEnd + 22, true);
  const wrong = notDecimal(upper) | notDecimal((lower & 0xffff) | 0x30300000) | notHex(id0) | notHex(id1) | notHex(data0) | notHex(data1) | notHex(data2) | notHex(data3);
  if (wrong !== 0) return -1;
  const idHigh = twoBytes(id0);
  const idLow = twoBytes(id1);
  const id = (idHigh & 0xff) << 24 | (idHigh & 0xff00) << 8 | (idLow & 0xff) << 8 | idLow >>> 8;
  if ((id & NO_DATA_FRAME) !== 0) return -1;
  const bus = lines.busIndex(buffer, nameStart, nameEnd, hash);
  if (bus > 255) return -1;
  const { batch, data } = lines;
  data.setInt32(count * 8, twoBytes(data0) | twoBytes(data1) << 16, true);
  data.setInt32(count * 8 + 4, twoBytes(data2) | twoBytes(data3) << 16, true);
  const fraction = Math.imul(fourDigits(upper), 100) + Math.imul(lower & 15, 10) + (lower >>> 8 & 15);
  batch.time[count] = (lines.micro + fraction) / 1e6;
  batch.id[count] = ((id & IDENTIFIER_29) | EXTENDED_FRAME) >>> 0;
  batch.bus[count] = bus;
  batch.length[count] = 8;
  return end + 1;
}

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

/* Four characters in one word, the first in its lowest byte. Decimal digits are 0x30–0x39: the upper half byte is 3, also after 6 is added. */
const UPPER_HALVES = 0xf0f0f0f0;
const THREES = 0x30303030;
const SIXES = 0x06060606;
const ONES = 0x01010101;

/** 0 when all four are decimal digits. */
function notDecimal(word: number): number {
  return ((word ^ THREES) | ((word + SIXES | 0) ^ THREES)) & UPPER_HALVES;
}

/** 0 when all four are hexadecimal digits. Letters (bit 6) are moved down to 0x30–0x35, where 10 must be added to reach the end of the range, not 6. */
function notHex(word: number): number {
  const letters = word >>> 6 & ONES;
  const down = (word | letters << 5) - Math.imul(letters, 0x31) | 0;
  return ((down ^ THREES) | (((down + SIXES | 0) + (letters << 2) | 0) ^ THREES)) & UPPER_HALVES;
}

/** Four hexadecimal digits → two bytes, the first in the lower one. */
function twoBytes(word: number): number {
  const digits = (word & 0x0f0f0f0f) + Math.imul(word >>> 6 & ONES, 9) | 0;
  const pairs = digits << 4 | digits >>> 8;
  return (pairs & 0xff) | (pairs >>> 8 & 0xff00);
}

/** Four decimal digits → their number. */
function fourDigits(word: number): number {
  const digits = word & 0x0f0f0f0f;
  const pairs = Math.imul(digits & 0xff00ff, 10) + (digits >>> 8 & 0xff00ff) | 0;
  return Math.imul(pairs & 0xff, 100) + (pairs >>> 16);
}
