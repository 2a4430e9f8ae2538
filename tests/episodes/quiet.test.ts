import { describe, expect, test } from 'vitest';
import { emptySetup, type Setup } from '../../shared/setup.ts';
import { drive, episodesOf, ramp, sampled, scaleChannel } from './hand-made.ts';

const V = 8 / 3.6;
const standing = drive([{ seconds: 1200, speed: 0 }]);
const calm = { noise: () => 3, wander: 4 };

describe('quiet readings', () => {
  test('driving gives none', () => {
    const day = drive([{ seconds: 600, speed: V, lowered: true }]);
    expect(episodesOf([...day.channels, scaleChannel('1', 600, { load: () => 3000, noise: () => 15 })], 600).quiet('1')).toEqual([]);
  });

  test('a stop of 15 s gives none, one of 60 s one', () => {
    const day = drive([{ seconds: 100, speed: V }, { seconds: 15, speed: 0 }, { seconds: 100, speed: V }, { seconds: 60, speed: 0 }, { seconds: 100, speed: V }]);
    const [reading, ...more] = episodesOf([...day.channels, scaleChannel('1', day.seconds, { load: () => 3000, ...calm })], day.seconds).quiet('1');
    expect(more).toEqual([]);
    expect(reading?.start).toBeGreaterThan(215);
    expect(reading?.end).toBeLessThan(279);
  });

  test('none while the tank’s own meter turns, by the setup’s mapping', () => {
    const turning = sampled('meter.7.speed', 'rpm', 1200, 1, () => 30);
    const channels = [...standing.channels, turning, scaleChannel('1', 1200, { load: () => 3000, ...calm })];
    const setup: Setup = { ...emptySetup, machine: { ...emptySetup.machine, tanks: [{ id: '1', meter: '7' }] } };
    expect(episodesOf(channels, 1200, setup).quiet('1')).toEqual([]);
    expect(episodesOf(channels, 1200).quiet('1')).toHaveLength(1);
  });

  test('one before and one after a fill', () => {
    const readings = episodesOf([...standing.channels, scaleChannel('1', 1200, { load: (t) => 500 + 2000 * ramp(500, 700)(t), ...calm })], 1200).quiet('1');
    expect(readings).toHaveLength(2);
    expect(Math.abs((readings[0]?.mass ?? NaN) - 500)).toBeLessThan(15);
    expect(Math.abs((readings[1]?.mass ?? NaN) - 2500)).toBeLessThan(15);
  });

  test('one before and one after a scale is set to zero', () => {
    const readings = episodesOf([...standing.channels, scaleChannel('1', 1200, { load: () => 350, error: (t) => -350 * ramp(600, 602)(t), ...calm })], 1200).quiet('1');
    expect(readings).toHaveLength(2);
    expect(readings[0]?.end).toBeGreaterThan(590);
    expect(readings[1]?.start).toBeLessThan(612);
    expect((readings[1]?.mass ?? NaN) - (readings[0]?.mass ?? NaN)).toBeLessThan(-330);
  });

  test('none where people shake the frame', () => {
    const restless = { load: () => 3000, noise: () => 60, wander: 0 };
    expect(episodesOf([...standing.channels, scaleChannel('1', 1200, restless)], 1200).quiet('1')).toEqual([]);
  });

  test('the stated uncertainty is honest: between 0.5 and 1.3 of the errors of many stops', () => {
    const errors = Array.from({ length: 60 }, (_, seed) => {
      const day = drive([{ seconds: 120, speed: 0 }, { seconds: 30, speed: V }], seed);
      const [reading] = episodesOf([...day.channels, scaleChannel('1', day.seconds, { load: () => 3000, noise: () => 3, wander: 6 }, seed)], day.seconds).quiet('1');
      return ((reading?.mass ?? NaN) - 3000) / (reading?.uncertainty ?? NaN);
    });
    const rms = Math.sqrt(errors.reduce((sum, each) => sum + each * each, 0) / errors.length);
    expect(rms).toBeGreaterThan(0.5);
    expect(rms).toBeLessThan(1.3);
  });
});
