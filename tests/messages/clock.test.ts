import { describe, expect, test } from 'vitest';
import { clockOffset } from '../../src/messages/clock.ts';
import { channel, decode, decodeLines, frameOf, seeded, valuesOf } from './bus-lines.ts';

describe('offset of the log\'s clock', () => {
  test('too few comparisons give no number', () => {
    expect(clockOffset([])).toBeUndefined();
    expect(clockOffset([1, Number.NaN, 1])).toBeUndefined();
  });

  /* Quantiles of type 7 of 1…101: Hyndman & Fan 1996, p × 100 + 1. */
  test('median and the middle 95 %', () => {
    expect(clockOffset(Array.from({ length: 101 }, (_, i) => i + 1))).toMatchObject({ offset: 51, low: 3.5, high: 98.5, n: 101 });
  });

  test('a drift shows between the first and the last tenth', () => {
    const found = clockOffset(Array.from({ length: 1000 }, (_, i) => 47 + i * 0.018));
    expect(found?.first).toBeCloseTo(47.9, 1);
    expect(found?.last).toBeCloseTo(64.1, 1);
  });
});

const systemTime = (source: number, day: number, second: number): string => {
  const data = new Uint8Array(8);
  const view = new DataView(data.buffer);
  data[1] = 0xf0 | source;
  view.setUint16(2, day, true);
  view.setUint32(4, Math.round(second * 1e4), true);
  return [...data].map((byte) => byte.toString(16).padStart(2, '0')).join('').toUpperCase();
};
const DAY = 20_782;
const NOON = DAY * 86_400 + 43_200;

describe('in the decoder', () => {
  test('126992: UTC minus logged time, told when it matters', () => {
    const random = seeded(1);
    const log = decode(Array.from({ length: 100 }, (_, i) => frameOf(`19F01005#${systemTime(0, DAY, 43_200 + i)}`, NOON + i - 3600 - 0.1 * random())));
    expect(valuesOf(log, 'clock.offset').every((offset) => offset >= 3600 && offset <= 3600.1001)).toBe(true);
    expect(log.notes).toEqual([expect.stringMatching(/^The log's clock needs 3600\.\d s \(95 % of 100 comparisons between 3600\.0 and 3600\.1 s\) added to give UTC \(address 5 on can0\)\.$/)]);
  });

  test('a clock that is right needs no remark', () => {
    expect(decode(Array.from({ length: 10 }, (_, i) => frameOf(`19F01005#${systemTime(0, DAY, 43_200 + i)}`, NOON + i + 0.05))).notes).toEqual([]);
  });

  test('a local crystal clock and a local time are not UTC', () => {
    expect(decodeLines([`19F01005#${systemTime(5, DAY, 1)}`]).channels).toEqual([]);
    expect(decodeLines(['18FEE6F0#CC0F060B61297DFA']).channels).toEqual([]);
  });

  test('129033 and 65254', () => {
    /* 20782 = 0x512E days, 43 200 s = 0x19BFCC00 × 1e-4 */
    const log = decode([frameOf('19F80909#2E5100CCBF190000', NOON), frameOf('18FEE6F0#CC0F060B61297D77', NOON)]);
    expect(log.channels.map((found) => [found.source.pgn, found.value[0]])).toEqual([[129033, 0], [65254, 22_551 - 43_200]]);
    expect(channel(log, 'clock.offset').unit).toBe('s');
  });
});
