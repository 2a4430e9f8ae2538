/**
 * Where a number lies in a message and what it means.
 * Bits count from bit 0 = least significant bit of byte 0 (contract 5). `startBit` is the field's least significant bit
 * when little-endian and its most significant bit when big-endian (the way network description files count).
 */
export interface FieldDefinition {
  readonly startBit: number;
  /** 1–64 */
  readonly length: number;
  readonly byteOrder?: 'little' | 'big';
  readonly signed?: boolean;
  /** Value = raw × factor + offset. */
  readonly factor?: number;
  readonly offset?: number;
  readonly notAvailable?: NotAvailable;
  /** Valid range of the value; outside it the value is not available. */
  readonly minimum?: number;
  readonly maximum?: number;
}

/**
 * Which raw values stand for 'no value' (messages.md 2):
 * `j1939` anything above the valid range (SAE J1939-71 5.1.4, ISO 11783-7 3.3.3: one byte 0xFA, two bytes 0xFAFF, …);
 * `nmea2000` the two or three highest values (not available, out of range, reserved); `all-ones` all bits set; `none`.
 */
export type NotAvailable = 'j1939' | 'nmea2000' | 'all-ones' | 'none';

/** Reads one value of the message that starts at `offset`; NaN = not available. Assumes that all its bytes are there. */
export type FieldReader = (data: Uint8Array, offset: number) => number;

export interface Selector {
  readonly startBit: number;
  readonly length: number;
  readonly byteOrder?: 'little' | 'big';
  readonly equals: number;
}

const TWO_32 = 4294967296;
/** Bytes of a frame's data, padded. */
export const FRAME_BYTES = 8;

/** How the raw number becomes a value; raw numbers outside `low`…`high`, and `hole`, are not available. */
interface Scaling {
  readonly factor: number;
  readonly offset: number;
  readonly low: number;
  readonly high: number;
  readonly hole: number;
}

/** Bytes a message must have for the field to be in it. */
export function bytesNeeded(field: { readonly startBit: number; readonly length: number; readonly byteOrder?: 'little' | 'big' }): number {
  if (field.byteOrder !== 'big') return Math.floor((field.startBit + field.length - 1) / 8) + 1;
  return Math.floor((bigEndianPosition(field.startBit) + field.length - 1) / 8) + 1;
}

/** Bit number → place in the order in which big-endian bits follow each other. */
const bigEndianPosition = (bit: number): number => (bit & ~7) + 7 - (bit & 7);

/** Highest valid raw number of an unsigned field. */
export function highestValid(length: number, rule: NotAvailable): number {
  const allOnes = 2 ** length - 1;
  if (rule === 'none' || length === 1) return allOnes;
  if (rule === 'all-ones') return allOnes - 1;
  if (rule === 'nmea2000') return allOnes - spareCodes(length);
  if (length === 2) return 1;
  if (length === 3) return allOnes - 1;
  if (length < 8) return allOnes - 2;
  if (length === 10) return 0x3fa;
  return 0xfb * 2 ** (length - 8) - 1;
}

/** NMEA 2000: how many of the highest values are no values, by width (messages.md 2). */
const spareCodes = (length: number): number => (length >= 8 ? 3 : length >= 4 ? 2 : 1);

/** Reads one value from each of many messages of eight bytes, one after the other in `data`, into `values`. */
export type ColumnReader = (data: DataView, count: number, values: Float64Array) => void;

/** As `compileField`, for many messages at once: the loop is inside, so that nothing is called per value for the usual fields. */
export function compileColumn(field: FieldDefinition): ColumnReader {
  if (field.byteOrder === 'big' || field.length > 32) {
    const read = compileField(field);
    return (data, count, values) => {
      const bytes = new Uint8Array(data.buffer, data.byteOffset, data.byteLength);
      for (let i = 0; i < count; i += 1) values[i] = read(bytes, i * FRAME_BYTES);
    };
  }
  const { factor, offset, low, high, hole } = scalingOf(field, field.notAvailable ?? 'none');
  /* The word that holds the first bit, and the one behind it: at most 32 bits lie in the two. */
  const first = field.startBit >> 5 << 2;
  const second = Math.min(first + 4, FRAME_BYTES - 4);
  const shift = field.startBit & 31;
  const spare = 32 - field.length;
  const signed = field.signed === true;
  return (data, count, values) => {
    for (let i = 0; i < count; i += 1) {
      const word = data.getInt32(i * FRAME_BYTES + first, true);
      const bits = (shift === 0 ? word : word >>> shift | data.getInt32(i * FRAME_BYTES + second, true) << 32 - shift) << spare;
      const raw = signed ? bits >> spare : bits >>> spare;
      values[i] = raw > high || raw < low || raw === hole ? Number.NaN : raw * factor + offset;
    }
  };
}

/** Builds the reader of one field: a closure for its width, no lookups left for later. */
export function compileField(field: FieldDefinition): FieldReader {
  const { length } = field;
  if (!(Number.isInteger(length) && length >= 1 && length <= 64)) throw new RangeError(`field of ${length} bits`);
  const rule = field.notAvailable ?? 'none';
  if (field.signed === true && rule === 'j1939') throw new RangeError('J1939 has no signed fields');
  if (length > 52) return compileWide(field, rule);
  const scaling = scalingOf(field, rule);
  return compileWhole(field, scaling) ?? compileBits(field, scaling);
}

function scalingOf(field: FieldDefinition, rule: NotAvailable): Scaling {
  const factor = field.factor ?? 1;
  const offset = field.offset ?? 0;
  const signed = field.signed === true;
  const positive = signed ? field.length - 1 : field.length;
  let high = signed ? 2 ** positive - 1 : highestValid(field.length, rule);
  if (signed && rule === 'nmea2000') high = 2 ** positive - 1 - spareCodes(field.length);
  let low = signed ? -(2 ** positive) : 0;
  const raw = (value: number | undefined): number => value === undefined ? Number.NaN : (value - offset) / factor;
  const [least, most] = factor < 0 ? [raw(field.maximum), raw(field.minimum)] : [raw(field.minimum), raw(field.maximum)];
  const slack = 1e-9;
  if (!Number.isNaN(least)) low = Math.max(low, Math.ceil(least - slack * Math.max(1, Math.abs(least))));
  if (!Number.isNaN(most)) high = Math.min(high, Math.floor(most + slack * Math.max(1, Math.abs(most))));
  return { factor, offset, low, high, hole: signed && rule === 'all-ones' && field.length > 1 ? -1 : Number.NaN };
}

/** Fields that are whole bytes in place, and fields inside one byte. */
function compileWhole(field: FieldDefinition, scaling: Scaling): FieldReader | undefined {
  const { factor, offset, low, high, hole } = scaling;
  const { length, startBit } = field;
  const signed = field.signed === true;
  const big = field.byteOrder === 'big';
  const first = startBit >> 3;
  const value = (raw: number): number => (raw > high || raw < low || raw === hole ? Number.NaN : raw * factor + offset);
  const lowestBit = big ? (startBit & 7) - length + 1 : startBit & 7;
  if (lowestBit >= 0 && lowestBit + length <= 8 && (length < 8 || !signed)) {
    const mask = 2 ** length - 1;
    if (!signed) return (data, at) => value(((data[at + first] as number) >> lowestBit) & mask);
    const shift = 32 - length;
    return (data, at) => value(((data[at + first] as number) >> lowestBit) << shift >> shift);
  }
  if (lowestBit === 0 && length === 8) return (data, at) => value((data[at + first] as number) << 24 >> 24);
  if (big || (startBit & 7) !== 0) return undefined;
  switch (length) {
    case 16:
      return signed
        ? (data, at) => value(((data[at + first] as number) << 16 | (data[at + first + 1] as number) << 24) >> 16)
        : (data, at) => value((data[at + first] as number) | (data[at + first + 1] as number) << 8);
    case 24:
      return signed
        ? (data, at) => value(((data[at + first] as number) << 8 | (data[at + first + 1] as number) << 16 | (data[at + first + 2] as number) << 24) >> 8)
        : (data, at) => value((data[at + first] as number) | (data[at + first + 1] as number) << 8 | (data[at + first + 2] as number) << 16);
    case 32:
      return signed ? (data, at) => value(word(data, at + first)) : (data, at) => value(word(data, at + first) >>> 0);
    default:
      return undefined;
  }
}

/** Four bytes, little-endian, as int32. */
const word = (data: Uint8Array, at: number): number =>
  (data[at] as number) | (data[at + 1] as number) << 8 | (data[at + 2] as number) << 16 | (data[at + 3] as number) << 24;

/** One piece of a field: the bits of one byte. */
interface Piece {
  readonly byte: number;
  readonly shift: number;
  readonly mask: number;
  readonly weight: number;
}

/** Any field up to 52 bits, in pieces of at most a byte; the number stays exact in a float64. */
function piecesOf(field: FieldDefinition): Piece[] {
  const pieces: Piece[] = [];
  const big = field.byteOrder === 'big';
  let done = 0;
  let bit = field.startBit;
  while (done < field.length) {
    const byte = bit >> 3;
    const inByte = bit & 7;
    const take = Math.min(big ? inByte + 1 : 8 - inByte, field.length - done);
    const shift = big ? inByte - take + 1 : inByte;
    pieces.push({ byte, shift, mask: 2 ** take - 1, weight: 2 ** (big ? field.length - done - take : done) });
    done += take;
    bit = big ? (byte + 1) * 8 + 7 : (byte + 1) * 8;
  }
  return pieces;
}

function compileBits(field: FieldDefinition, scaling: Scaling): FieldReader {
  const { factor, offset, low, high, hole } = scaling;
  const pieces = piecesOf(field);
  const signAt = field.signed === true ? 2 ** (field.length - 1) : Number.POSITIVE_INFINITY;
  const whole = 2 ** field.length;
  return (data, at) => {
    let raw = 0;
    for (const piece of pieces) raw += (((data[at + piece.byte] as number) >> piece.shift) & piece.mask) * piece.weight;
    if (raw >= signAt) raw -= whole;
    return raw > high || raw < low || raw === hole ? Number.NaN : raw * factor + offset;
  };
}

/** 53–64 bits by two 32-bit reads: 'not available' is judged on the exact bits, the value is rounded to a float64. */
function compileWide(field: FieldDefinition, rule: NotAvailable): FieldReader {
  const { length } = field;
  const big = field.byteOrder === 'big';
  const factor = field.factor ?? 1;
  const offset = field.offset ?? 0;
  const minimum = field.minimum ?? Number.NEGATIVE_INFINITY;
  const maximum = field.maximum ?? Number.POSITIVE_INFINITY;
  const signed = field.signed === true;
  const highLength = length - 32;
  const bitAfter = (bit: number, count: number): number => {
    if (!big) return bit + count;
    const position = bigEndianPosition(bit) + count;
    return bigEndianPosition(position);
  };
  const readLow = compileField({ startBit: big ? bitAfter(field.startBit, highLength) : field.startBit, length: 32, byteOrder: field.byteOrder ?? 'little' });
  const readHigh = compileField({ startBit: big ? field.startBit : bitAfter(field.startBit, 32), length: highLength, byteOrder: field.byteOrder ?? 'little', signed });
  const topHigh = signed ? 2 ** (highLength - 1) - 1 : 2 ** highLength - 1;
  /* Above these the raw number means 'not available': the high word at its top, the low word within the last few. */
  const validHigh = rule === 'j1939' ? 0xfb * 2 ** (highLength - 8) - 1 : topHigh;
  const validLow = 0xffffffff - (rule === 'nmea2000' ? 3 : rule === 'all-ones' ? 1 : 0);
  const allOnesHigh = signed ? -1 : topHigh;
  return (data, at) => {
    const low = readLow(data, at);
    const high = readHigh(data, at);
    if (rule === 'all-ones') {
      if (high === allOnesHigh && low === 0xffffffff) return Number.NaN;
    } else if (high > validHigh || (high === validHigh && low > validLow)) return Number.NaN;
    const value = (high * TWO_32 + low) * factor + offset;
    return value < minimum || value > maximum ? Number.NaN : value;
  };
}
