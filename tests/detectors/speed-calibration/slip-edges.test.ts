import { describe, expect, test } from 'vitest';
import { slipEdges } from '../../../src/detectors/speed-calibration/slip-edges.ts';
import type { RatioWindow } from '../../../src/detectors/speed-calibration/windows.ts';

/** Windows of 30 s from second 0 with these log ratios. */
const windows = (...ratios: readonly number[]): readonly RatioWindow[] =>
  ratios.map((logRatio, i) => ({ start: 30 * i, end: 30 * (i + 1), logRatio, unevenness: 0.01, stretch: 0, lifted: false, length: 60 }));
const times = (count: number, value: number): readonly number[] => Array.from({ length: count }, () => value);
const levels = { base: 0, slip: -0.08 };

describe('the edges of a low stretch', () => {
  test('are those of its windows, where the level was known to blocks only', () => {
    const day = windows(...times(40, 0.001), ...times(30, -0.081), ...times(40, -0.001));
    for (const late of [-210, 0, 120, 240]) expect(slipEdges({ start: 1200 + late, end: 2100 - late }, levels, day)).toEqual({ start: 1200, end: 2100 });
  });
  test('stay where they are when they are right, at the ends of the day too', () => {
    expect(slipEdges({ start: 0, end: 900 }, levels, windows(...times(30, -0.08), ...times(30, 0)))).toEqual({ start: 0, end: 900 });
    expect(slipEdges({ start: 900, end: 1800 }, levels, windows(...times(30, 0), ...times(30, -0.08)))).toEqual({ start: 900, end: 1800 });
  });
  test('one wild window, or one good one in between, does not carry them away', () => {
    const day = windows(...times(37, 0), -0.6, 0, 0, ...times(4, -0.08), 0.3, ...times(25, -0.08), ...times(40, 0));
    expect(slipEdges({ start: 1290, end: 2100 }, levels, day)).toEqual({ start: 1200, end: 2100 });
  });
  test('without a window of the stretch they are left alone', () => {
    expect(slipEdges({ start: 5000, end: 6000 }, levels, windows(...times(10, 0)))).toEqual({ start: 5000, end: 6000 });
  });
});
