import type { FrameBatch } from '../log-format.ts';
import { EXTENDED_FRAME } from '../log-format.ts';

/* `(1746532800.001079) can1 0CF00400#F87D7D4638FFFFFF`: ten digits, six digits, 29-bit identifier, eight bytes, line feed. */
const DOT_AT = 11;
const CLOSE_AT = 18;
const NAME_AT = 20;
const ID_DIGITS = 8;
const DATA_DIGITS = 16;
/** From the blank after the name to the line feed. */
const TAIL = 1 + ID_DIGITS + 1 + DATA_DIGITS;
const LONGEST_NAME = 32;
/** Flags of an 8-digit identifier that is no data frame: remote or error. */
export const NO_DATA_FRAME = 0x60000000;
export const IDENTIFIER_29 = 0x1fffffff;

/** Byte → digit. No digit has the upper bit, which is how a field is checked once, after all its digits were read. */
export const NOT_HEX = 0xff;
const UPPER_BIT = 0x80;
export const HEX = digits(16);
const DIGIT = digits(10);

function digits(base: number): Uint8Array {
  const table = new Uint8Array(256).fill(NOT_HEX);
  for (let digit = 0; digit < base; digit += 1) {
    table[digit.toString(16).charCodeAt(0)] = digit;
    table[digit.toString(16).toUpperCase().charCodeAt(0)] = digit;
  }
  return table;
}

/**
 * Reads the line at `start` into place `count` of the batch when it is of the usual shape, with all digits at their usual places
 * and no branch per digit. Gives the place after the line feed, or −1 (then the batch's place holds nothing of meaning).
 */
export function readUsualLine(buffer: Uint8Array, start: number, to: number, batch: FrameBatch, count: number, busIndex: (buffer: Uint8Array, from: number, to: number, hash: number) => number): number {
  if (to - start < NAME_AT + 1 + TAIL || buffer[start] !== 40 || buffer[start + DOT_AT] !== 46 || buffer[start + CLOSE_AT] !== 41 || buffer[start + CLOSE_AT + 1] !== 32) return -1;

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
  if (byte !== 32 || nameEnd === nameStart || end >= to || buffer[nameEnd + 9] !== 35 || buffer[end] !== 10) return -1;

  let none = 0;
  let upper = 0;
  let lower = 0;
  let micro = 0;
  for (let at = start + 1; at < start + 6; at += 1) {
    const high = DIGIT[buffer[at] as number] as number;
    const low = DIGIT[buffer[at + 5] as number] as number;
    none |= high | low;
    upper = upper * 10 + high;
    lower = lower * 10 + low;
  }
  for (let at = start + DOT_AT + 1; at < start + CLOSE_AT; at += 1) {
    const digit = DIGIT[buffer[at] as number] as number;
    none |= digit;
    micro = micro * 10 + digit;
  }
  let id = 0;
  for (let at = nameEnd + 1; at < nameEnd + 9; at += 1) {
    const digit = HEX[buffer[at] as number] as number;
    none |= digit;
    id = (id << 4) | digit;
  }
  const { data } = batch;
  let cell = count * 8;
  for (let at = nameEnd + 10; at < end; at += 2) {
    const high = HEX[buffer[at] as number] as number;
    const low = HEX[buffer[at + 1] as number] as number;
    none |= high | low;
    data[cell] = (high << 4) | low;
    cell += 1;
  }
  if (none >= UPPER_BIT || (id & NO_DATA_FRAME) !== 0) return -1;
  const bus = busIndex(buffer, nameStart, nameEnd, hash);
  if (bus > 255) return -1;
  batch.time[count] = ((upper * 1e5 + lower) * 1e6 + micro) / 1e6;
  batch.id[count] = ((id & IDENTIFIER_29) | EXTENDED_FRAME) >>> 0;
  batch.bus[count] = bus;
  batch.length[count] = 8;
  return end + 1;
}
