import { describe, expect, test } from 'vitest';
import { dayHistory, type Level } from '../../../src/detectors/speed-calibration/levels.ts';
import { judge, type RatioEstimate } from '../../../src/detectors/speed-calibration/ratio-estimate.ts';
import { running } from '../../../src/detectors/speed-calibration/windows.ts';
import { speedCalibration } from '../../../src/detectors/speed-calibration/speed-calibration.ts';
import { runDetector, worldDay } from '../../support/detector-tester.ts';
import { scenario } from '../../support/world/scenario.ts';

/** Levels of 10 minutes each. */
const levels = (...values: readonly number[]): readonly Level[] =>
  values.map((level, i) => ({ level, start: i * 600, end: (i + 1) * 600, from: i * 20, to: (i + 1) * 20, seconds: 600, uncertainty: 0.001 }));
const history = (...values: readonly number[]) => {
  const { base, slip } = dayHistory(levels(...values), 0.005);
  return { base: base.map(({ level }) => Number(level.toFixed(4))), slip: slip.map(({ start, end }) => [start / 600, end / 600]) };
};

describe('slip comes back, a change stays', () => {
  test('one level', () => expect(history(0, 0.002, -0.001)).toMatchObject({ base: [0.0003], slip: [] }));
  test('low and back is slip', () => expect(history(0, -0.03, 0)).toEqual({ base: [0], slip: [[1, 2]] }));
  test('a patch in two depths is one patch', () => expect(history(0, -0.02, -0.035, 0.001).slip).toEqual([[1, 3]]));
  test('low to the end is a step', () => expect(history(0, -0.04, -0.041)).toMatchObject({ slip: [], base: [0, -0.0405] }));
  test('a step with a patch on either side', () => expect(history(0, -0.03, 0, -0.06, -0.1, -0.06)).toMatchObject({ base: [0, -0.06], slip: [[1, 2], [4, 5]] }));
  test('high for a while is no slip: a towed wheel does not overrun', () => expect(history(0, 0.03, 0).slip).toEqual([]));
});

describe('guard band', () => {
  const estimate = (low: number, high: number): RatioEstimate => ({ logRatio: (low + high) / 2, low, high, scatter: (high - low) / 2, slip: 0, units: 5, windows: 20, seconds: 600 });
  test.each([[0.011, 0.02, 'off'], [-0.03, -0.0101, 'off'], [-0.009, 0.009, 'fine'], [0.005, 0.012, 'cannot-tell'], [-0.02, 0.02, 'cannot-tell']])('%d to %d is %s', (low, high, verdict) =>
    expect(judge(estimate(low, high), 0.01).verdict).toBe(verdict));
  test('asks for four times the data where the interval has to be half as wide', () => {
    /* 0.5 % from the limit, interval ±1 %: (1/0.5)² − 1 = 3 times as much again */
    expect(judge(estimate(-0.005, 0.015), 0.01)).toEqual({ verdict: 'cannot-tell', moreSeconds: expect.closeTo(1800, 6) as number });
  });
});

test('sums with fractions of seconds, none across an unknown second', () => {
  const sums = running(Float64Array.of(1, 2, 4, NaN, 8));
  expect(sums.between(0.5, 2.25)).toBe(0.5 + 2 + 1);
  expect(sums.between(0, 3)).toBe(7);
  expect(sums.between(2.5, 3.5)).toBeNaN();
  expect(sums.between(4, 5)).toBe(8);
  expect(sums.between(4, 5.5)).toBeNaN();
});

test('a tyre that gives under load is no calibration error and no change', () => {
  const day = worldDay(scenario('C0').build(1));
  const mass = day.channels.find(({ id }) => id === 'tank.1.mass');
  const pulses = day.channels.find(({ id }) => id === 'wheel.pulses');
  if (mass === undefined || pulses === undefined) throw new Error('no such channel');
  let total = 0;
  /* 1.5 % more pulses per metre full (6 t) than empty. */
  const flattened = Float64Array.from(pulses.value, (count, i) => {
    total += (count - (i === 0 ? count : pulses.value[i - 1] ?? count)) * (1 + (0.015 * ((mass.value[i] ?? 0) - 3000)) / 6000);
    return Math.floor(total);
  });
  const loaded = { ...day, channels: day.channels.map((one) => (one.id === 'wheel.pulses' ? { ...one, value: flattened } : one)).filter(({ id }) => id !== 'wheel.speed' && id !== 'wheel.distance') };
  const { findings, outcome } = runDetector(speedCalibration, loaded);
  expect(findings).toEqual([]);
  const percent = Number(/It counts ([\d.]+) % more/.exec(outcome.why)?.[1]);
  const tonnes = Number(/‹mass\|([\d.]+)/.exec(outcome.why)?.[1]) / 1000;
  expect(percent / tonnes).toBeCloseTo(0.25, 1);
});
