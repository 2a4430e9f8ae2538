import { describe, expect, test } from 'vitest';
import { deadTimeCorrection, fanoFactor, garwoodInterval, observedRate, poissonDispersion } from '../../src/series/dispersion.ts';
import { createRandom, type Random } from '../../src/series/random.ts';

const TEXTBOOK = [11, 8, 13, 11, 13, 17, 25, 23, 11, 16, 9, 15, 10, 16, 12, 8, 9, 15, 4, 12, 12, 12, 15, 17, 14, 17, 12, 12, 7, 16];

describe('poissonDispersion', () => {
  test('S-34 (data read in cran/qcc qcc.overdispersion.test.Rd, answer from memory, recalculated)', () => {
    const result = poissonDispersion(TEXTBOOK);
    expect(result.ratio).toBeCloseTo(1.472203, 6);
    expect(result.statistic).toBeCloseTo(42.69388, 5);
    expect(result.degreesOfFreedom).toBe(29);
    expect(result.upperTail).toBeCloseTo(0.04857906, 8);
  });

  test('S-35 alpha-particle counts (data read in NIST Dataplot help, recalculated): a little under-dispersed, as a detector with dead time is', () => {
    const frequencies = [57, 203, 383, 525, 532, 408, 273, 139, 45, 27, 10, 4, 0, 1, 1];
    const counts = frequencies.flatMap((frequency, count) => Array<number>(frequency).fill(count));
    expect(counts).toHaveLength(2608);
    const result = poissonDispersion(counts);
    expect(result.mean).toBeCloseTo(3.871549, 6);
    expect(result.statistic).toBeCloseTo(2488.918, 3);
    expect(result.ratio).toBeCloseTo(0.95471, 5);
    expect(result.lowerTail).toBeCloseTo(0.0493, 4);
  });
});

function poisson(random: Random, mean: number): number {
  let count = 0;
  for (let left = mean + Math.log(1 - random.next()); left > 0; left += Math.log(1 - random.next())) count++;
  return count;
}

describe('fanoFactor', () => {
  test('is 1 for Poisson counts, drifting mean and a tenth of wild windows or not', () => {
    const random = createRandom(12);
    const steady = Array.from({ length: 2000 }, () => poisson(random, 40));
    expect(fanoFactor(steady)).toBeGreaterThan(0.85);
    expect(fanoFactor(steady)).toBeLessThan(1.15);
    const drifting = Array.from({ length: 2000 }, (_, i) => (i % 20 === 0 ? 0 : poisson(random, 40 + i / 200)));
    expect(poissonDispersion(drifting).ratio).toBeGreaterThan(2);
    expect(fanoFactor(drifting)).toBeGreaterThan(0.85);
    expect(fanoFactor(drifting)).toBeLessThan(1.3);
  });

  test('cannot tell with nothing counted', () => {
    expect(fanoFactor([0, 0, 0])).toBeNaN();
    expect(fanoFactor([3])).toBeNaN();
  });
});

describe('garwoodInterval', () => {
  test.each([
    [0, 0, 3.6889],
    [1, 0.0253, 5.5716],
    [5, 1.6235, 11.6683],
    [10, 4.7954, 18.3904],
    [20, 12.2165, 30.8884],
    [50, 37.111, 65.9188],
    [100, 81.364, 121.6268],
  ])('S-37 count %d (derived from chi-square; published tables from memory)', (count, low, high) => {
    const interval = garwoodInterval(count);
    expect(interval.value).toBe(count);
    expect(Math.abs(interval.low - low)).toBeLessThan(5.1e-5);
    expect(Math.abs(interval.high - high)).toBeLessThan(5.1e-5);
  });
});

describe('dead time', () => {
  test.each([
    [50, 45.4545, 45.2419],
    [200, 142.857, 134.064],
    [400, 222.222, 179.732],
  ])('S-39 2 ms at %d/s (textbook formulas, derived), and back', (rate, fixed, extending) => {
    expect(observedRate(rate, 0.002)).toBeCloseTo(fixed, 3);
    expect(observedRate(rate, 0.002, 'extending')).toBeCloseTo(extending, 3);
    expect(deadTimeCorrection(observedRate(rate, 0.002), 0.002)).toBeCloseTo(rate, 9);
  });

  test('a counter cannot show 1/tau', () => {
    expect(deadTimeCorrection(500, 0.002)).toBe(Infinity);
  });

  test('S-39 index of dispersion of a simulated counter is near 1/(1 + nτ)² (derived)', () => {
    const random = createRandom(13);
    const [rate, tau] = [400, 0.002];
    const counts = new Uint32Array(2000);
    for (let t = 0, deadUntil = 0; ; ) {
      t -= Math.log(1 - random.next()) / rate;
      if (t >= counts.length) break;
      if (t < deadUntil) continue;
      deadUntil = t + tau;
      counts[Math.floor(t)] = (counts[Math.floor(t)] as number) + 1;
    }
    expect(poissonDispersion(counts).mean).toBeCloseTo(222.2, -0.5);
    expect(Math.abs(poissonDispersion(counts).ratio - 0.309)).toBeLessThan(0.04);
    expect(fanoFactor(counts)).toBeLessThan(0.45);
  });
});
