import * as fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { bytesNeeded, compileColumn, compileField, highestValid, type FieldDefinition } from '../../src/messages/signal.ts';
import { bytes } from './bus-lines.ts';

const read = (field: FieldDefinition, hex: string): number => compileField(field)(bytes(hex), 0);

/** The definition of the field taken literally, bit by bit, in whole numbers of any size. */
function literally(field: FieldDefinition, data: Uint8Array): bigint {
  let bit = field.startBit;
  let raw = 0n;
  for (let i = 0; i < field.length; i++) {
    const one = BigInt((data[bit >> 3] as number) >> (bit & 7) & 1);
    if (field.byteOrder === 'big') {
      raw = raw * 2n + one;
      bit = (bit & 7) === 0 ? bit + 15 : bit - 1;
    } else {
      raw += one << BigInt(i);
      bit += 1;
    }
  }
  return field.signed === true && raw >> BigInt(field.length - 1) === 1n ? raw - (1n << BigInt(field.length)) : raw;
}

describe('bits and bytes', () => {
  test('every width, place, order and sign reads as the bits say', () => {
    const field = fc.record({
      startBit: fc.integer({ min: 0, max: 63 }), length: fc.integer({ min: 1, max: 64 }), byteOrder: fc.constantFrom('little' as const, 'big' as const), signed: fc.boolean(),
    }).filter((candidate) => bytesNeeded(candidate) <= 16);
    fc.assert(fc.property(field, fc.uint8Array({ minLength: 18, maxLength: 18 }), fc.integer({ min: 0, max: 2 }), (definition, data, offset) => {
      const raw = literally(definition, data.subarray(offset));
      expect(compileField(definition)(data, offset)).toBe(Number(raw));
    }), { numRuns: 5000, seed: 7 });
  });

  test('many frames at once read as one by one', () => {
    const field = fc.record({
      startBit: fc.integer({ min: 0, max: 63 }), length: fc.integer({ min: 1, max: 64 }), byteOrder: fc.constantFrom('little' as const, 'big' as const), signed: fc.boolean(),
      factor: fc.constantFrom(1, 0.01, -2), offset: fc.constantFrom(0, -40), notAvailable: fc.constantFrom('none' as const, 'all-ones' as const, 'nmea2000' as const),
      minimum: fc.constantFrom(-1000, 0), maximum: fc.constantFrom(50, 1e12),
    }).filter((candidate) => bytesNeeded(candidate) <= 8);
    fc.assert(fc.property(field, fc.uint8Array({ minLength: 40, maxLength: 40 }), (definition, data) => {
      data.fill(0xff, 32);
      const values = new Float64Array(6).fill(-7);
      compileColumn(definition)(new DataView(data.buffer, data.byteOffset, 40), 5, values);
      const read = compileField(definition);
      expect([...values]).toEqual([0, 8, 16, 24, 32].map((at) => read(data, at)).concat(-7));
    }), { numRuns: 5000, seed: 8 });
  });

  test.each([
    ['little-endian', { startBit: 8, length: 16 }, '00 34 12', 0x1234],
    /* Bit 15 = the highest bit of byte 1: from there down, then byte 2 from its top. */
    ['big-endian', { startBit: 15, length: 16, byteOrder: 'big' as const }, '00 12 34', 0x1234],
    ['12 bits over two bytes', { startBit: 4, length: 12 }, 'B3 A4', 0xa4b],
    ['one bit', { startBit: 15, length: 1 }, '00 80', 1],
    ['signed byte', { startBit: 0, length: 8, signed: true }, 'FE', -2],
    ['signed 24 bits', { startBit: 0, length: 24, signed: true }, 'FF FF FF', -1],
    ['scale and offset', { startBit: 0, length: 8, factor: 0.4, offset: -100 }, 'FA', 0],
  ])('%s', (_, field, hex, value) => expect(read(field, hex)).toBe(value));
});

describe('values that are none', () => {
  test.each([
    ['8 bits: 0xFA is the last value', 8, 0xfa], ['10 bits', 10, 0x3fa], ['12 bits', 12, 0xfaf], ['16 bits: all of 0xFBxx–0xFFxx', 16, 0xfaff],
    ['20 bits', 20, 0xfafff], ['24 bits', 24, 0xfaffff], ['28 bits', 28, 0xfafffff], ['32 bits', 32, 0xfaffffff], ['2 bits: 10 error, 11 not available', 2, 1],
  ])('J1939 (SAE J1939-71 5.1.4; asammdf table): %s', (_, length, highest) => {
    expect(highestValid(length, 'j1939')).toBe(highest);
    const hex = (value: number): string => Array.from({ length: 4 }, (__, i) => ((value / 2 ** (8 * i)) & 0xff).toString(16).padStart(2, '0')).join('');
    expect(read({ startBit: 0, length, notAvailable: 'j1939' }, hex(highest))).toBe(highest);
    expect(read({ startBit: 0, length, notAvailable: 'j1939' }, hex(highest + 1))).toBeNaN();
    expect(read({ startBit: 0, length, notAvailable: 'j1939' }, 'FFFFFFFF')).toBeNaN();
  });

  test.each([
    ['FFFF', Number.NaN], ['FEFF', Number.NaN], ['FDFF', Number.NaN], ['FCFF', 65532],
  ])('NMEA 2000 unsigned 16 bits %s (canboat RangeMax)', (hex, value) => expect(read({ startBit: 0, length: 16, notAvailable: 'nmea2000' }, hex)).toBe(value));

  test.each([
    ['FF7F', Number.NaN], ['FE7F', Number.NaN], ['FD7F', Number.NaN], ['FC7F', 32764], ['0080', -32768], ['FFFF', -1],
  ])('NMEA 2000 signed 16 bits %s', (hex, value) => expect(read({ startBit: 0, length: 16, signed: true, notAvailable: 'nmea2000' }, hex)).toBe(value));

  test('64 bits are judged on the exact bits, where a float64 can no longer tell them apart', () => {
    const field: FieldDefinition = { startBit: 0, length: 64, signed: true, factor: 1e-16, notAvailable: 'nmea2000' };
    expect(read(field, 'FFFFFFFFFFFFFF7F')).toBeNaN();
    expect(read(field, 'FDFFFFFFFFFFFF7F')).toBeNaN();
    expect(read(field, 'FCFFFFFFFFFFFF7F')).toBeCloseTo(922.337_203_685_477_6, 9);
    expect(read(field, 'FFFFFFFFFFFFFFFF')).toBe(-1e-16);
    expect(read({ startBit: 0, length: 64, notAvailable: 'all-ones' }, 'FFFFFFFFFFFFFFFF')).toBeNaN();
    expect(read({ startBit: 0, length: 64, notAvailable: 'all-ones' }, 'FEFFFFFFFFFFFFFF')).toBe(2 ** 64);
  });

  test('all ones (contract 5), also of a signed field; one bit has no room for it', () => {
    expect(read({ startBit: 0, length: 12, notAvailable: 'all-ones' }, 'FF0F')).toBeNaN();
    expect(read({ startBit: 0, length: 12, notAvailable: 'all-ones' }, 'FE0F')).toBe(4094);
    expect(read({ startBit: 0, length: 16, signed: true, notAvailable: 'all-ones' }, 'FFFF')).toBeNaN();
    expect(read({ startBit: 0, length: 16, signed: true, notAvailable: 'all-ones' }, 'FF7F')).toBe(32767);
    expect(read({ startBit: 0, length: 16, notAvailable: 'none' }, 'FFFF')).toBe(65535);
    expect(read({ startBit: 3, length: 1, notAvailable: 'all-ones' }, '08')).toBe(1);
  });

  test('a stated range counts, whichever way the factor points', () => {
    const field: FieldDefinition = { startBit: 0, length: 8, factor: -0.1, offset: 10, minimum: 0, maximum: 9.5 };
    expect(read(field, '05')).toBeCloseTo(9.5, 12);
    expect(read(field, '04')).toBeNaN();
    expect(read(field, '64')).toBeCloseTo(0, 12);
    expect(read(field, '65')).toBeNaN();
  });

  test('a field that cannot be is refused', () => {
    expect(() => compileField({ startBit: 0, length: 65 })).toThrow(RangeError);
    expect(() => compileField({ startBit: 0, length: 16, signed: true, notAvailable: 'j1939' })).toThrow(RangeError);
  });
});
