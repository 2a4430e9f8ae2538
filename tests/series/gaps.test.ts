import { expect, test } from 'vitest';
import { gapsOf, usualInterval } from '../../src/series/gaps.ts';

test('quiet: jitter is no gap, nor is a series too short to have one', () => {
  expect(gapsOf([0, 1, 2.2, 3, 4.1], { factor: 3 })).toEqual([]);
  expect(gapsOf([], { factor: 3 })).toEqual([]);
  expect(gapsOf([4], { longest: 1 })).toEqual([]);
});

test('a pause runs from the last sample before to the first after', () => {
  const time = [0, 1, 2, 10, 11, 12, 15.5];
  expect(gapsOf(time, { factor: 3 })).toEqual([
    { start: 2, end: 10 },
    { start: 12, end: 15.5 },
  ]);
  expect(gapsOf(time, { longest: 5 })).toEqual([{ start: 2, end: 10 }]);
});

test('the usual interval is that between different times', () => {
  expect(usualInterval([0, 0, 0, 0.1, 0.1, 0.2, 0.3])).toBeCloseTo(0.1, 12);
  expect(usualInterval([1, 1])).toBeNaN();
});
