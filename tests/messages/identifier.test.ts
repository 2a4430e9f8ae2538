import { describe, expect, test } from 'vitest';
import { formatIdentifier, parseIdentifier } from '../../src/messages/identifier.ts';

const extended = (id: number): number => (id | 0x80000000) >>> 0;

describe('29-bit identifiers (SAE J1939-21 5.2)', () => {
  test.each([
    ['broadcast, PDU2', 0x0cfe4846, { priority: 3, pgn: 65096, source: 0x46, destination: 255 }],
    ['addressed, PDU1: the low byte is the destination', 0x18eafffe, { priority: 6, pgn: 59904, source: 0xfe, destination: 255 }],
    ['process data to the task controller', 0x18cbf780, { priority: 6, pgn: 51968, source: 0x80, destination: 0xf7 }],
    ['data page 1, NMEA 2000', 0x09f8021c, { priority: 2, pgn: 129026, source: 0x1c, destination: 255 }],
    ['data page 1, addressed', 0x1ded17ff, { priority: 7, pgn: 126208, source: 0xff, destination: 0x17 }],
  ])('%s', (_, id, parts) => {
    expect(parseIdentifier(extended(id))).toEqual(parts);
    expect(formatIdentifier(parts)).toBe(extended(id));
  });

  test('11 bits are no J1939', () => expect(parseIdentifier(0x123)).toBeUndefined());
  test('the extended data page is no J1939 (ISO 15765: from memory)', () => expect(parseIdentifier(extended(0x1bda00f1))).toBeUndefined());
});
