import { describe, expect, test } from 'vitest';
import { fanFloor } from '../../../src/detectors/fan-floor/fan-floor.ts';
import { powerAt } from '../../../src/detectors/fan-floor/swings.ts';
import { runDetector } from '../../support/detector-tester.ts';
import { fanTestDay } from './fan-day.ts';

const measured = (day: Parameters<typeof fanTestDay>[0], name: string) => {
  const found = runDetector(fanFloor, fanTestDay(day, 1)).measurements.find((measurement) => measurement.name === name);
  if (found === undefined) throw new Error(`no ${name}`);
  return found;
};

describe('margin', () => {
  test('of a healthy day is the lowest climb against the floor', () => {
    const margin = measured({ share: (time) => (time > 4000 && time < 4040 ? 0.94 : 1) }, 'fan.margin');
    expect(margin.low).toBeLessThanOrEqual(0.94 * 3600 / 3200);
    expect(margin.high).toBeGreaterThanOrEqual(0.94 * 3600 / 3200);
    expect(margin.high - margin.low).toBeLessThan(0.02);
  });
  test('falls under 1 with the fan', () => expect(measured({ share: (time) => (time > 4000 ? 0.8 : 1) }, 'fan.margin').value).toBeCloseTo(0.9, 1));
  test('does not believe a sensor that counts half', () => expect(measured({ shown: (rpm, time) => (time >= 3000 && time < 3600 ? rpm / 2 : rpm) }, 'fan.margin').value).toBeGreaterThan(1.05));
  test('leaves the run-up after a fill out', () => expect(measured({ stops: [[2000, 2600]] }, 'fan.margin').value).toBeGreaterThan(1.05));
});

describe('suggested alarm', () => {
  test('lies between floor and the healthy lows, and would not have cried', () => {
    const alarm = measured({ share: (time) => (time % 385 > 200 && time % 385 < 240 ? 0.95 : 1) }, 'fan.suggested-alarm');
    expect(alarm.low).toBe(3200);
    expect(alarm.value).toBeGreaterThan(3300);
    expect(alarm.value).toBeLessThan(0.95 * 3600);
    expect(alarm.value % 10).toBe(0);
  });
  test('is never under the floor', () => expect(measured({ share: () => 0.885 }, 'fan.suggested-alarm')).toMatchObject({ value: 3200, low: 3200, high: 3200 }));
});

/* Parseval: a sine of amplitude A holds A²/2 at its frequency, nothing at another of the window's. Algebra. */
test('power at a frequency', () => {
  const sine = Array.from({ length: 60 }, (_, i) => 3 * Math.sin((2 * Math.PI * 6 * i) / 60 + 0.4));
  expect(powerAt(sine, 6 / 60)).toBeCloseTo(4.5, 9);
  expect(powerAt(sine, 9 / 60)).toBeCloseTo(0, 9);
});
