import { describe, expect, test } from 'vitest';
import { lagBetween } from '../../src/series/lag.ts';
import { createRandom, type Random } from '../../src/series/random.ts';

/** A signal at 1 s and itself `lag` later, each with its own noise: smooth as a speed, or in steps as a command. */
function pair(random: Random, n: number, lag: number, noise: number, kind: 'smooth' | 'steps') {
  const fine = new Float64Array(n * 10 + 300);
  let level = 0;
  for (let i = 0; i < fine.length; i++) {
    if (kind === 'smooth') level = 0.98 * level + 0.2 * random.normal();
    else if (random.next() < 0.01) level = 2 * random.normal();
    fine[i] = level;
  }
  const at = (t: number): number => {
    const place = t * 10 + 150;
    const i = Math.floor(place);
    return (fine[i] as number) + (place - i) * ((fine[i + 1] as number) - (fine[i] as number));
  };
  const series = (delay: number) => Float64Array.from({ length: n }, (_, i) => at(i - delay) + noise * random.normal());
  return { a: series(0), b: series(lag) };
}

describe('lagBetween', () => {
  test.each([
    ['smooth', 1.37],
    ['steps', 1.37],
    ['smooth', -2.5],
    ['steps', 4],
  ] as const)('%s signals %d s apart: covered about 95 times in 100, without leaning to whole seconds', (kind, lag) => {
    const random = createRandom(lag);
    const runs = 60;
    let covered = 0;
    let bias = 0;
    for (let run = 0; run < runs; run++) {
      const { a, b } = pair(random, 900, lag, 0.3, kind);
      const found = lagBetween(a, b, 1, { longest: 8 });
      if (found.low <= lag && lag <= found.high) covered++;
      bias += (found.lag - lag) / runs;
    }
    expect(covered / runs).toBeGreaterThan(0.88);
    expect(Math.abs(bias)).toBeLessThan(0.05);
  });

  test('scale, offset, drift and holes do not matter; the step is in seconds', () => {
    const { a, b } = pair(createRandom(3), 3000, 1.6, 0.1, 'smooth');
    const other = b.map((value, i) => 40 - 0.01 * i + 3 * value);
    other.fill(Number.NaN, 500, 700);
    const found = lagBetween(a, other, 0.2, { longest: 1.6 });
    expect(found.lag).toBeCloseTo(0.32, 1);
    expect(found.low).toBeLessThan(0.32);
    expect(found.high).toBeGreaterThan(0.32);
    expect(found.correlation).toBeGreaterThan(0.8);
  });

  test('cannot tell: nothing varies, all is missing, too short, or the lag is longer than looked for', () => {
    const { a, b } = pair(createRandom(4), 900, 9, 0.05, 'smooth');
    const flat = new Float64Array(900).fill(3);
    for (const answer of [
      lagBetween(a, flat, 1, { longest: 8 }),
      lagBetween(a, a.map(() => Number.NaN), 1, { longest: 8 }),
      lagBetween(new Float64Array(3), new Float64Array(3), 1, { longest: 8 }),
      lagBetween(a, b, 1, { longest: 4 }),
    ]) {
      expect(answer.lag).toBeNaN();
      expect(answer.low).toBeNaN();
    }
  });

  test('two series that have nothing to do with each other: a wide interval or no answer', () => {
    const random = createRandom(9);
    const widths = Array.from({ length: 10 }, () => {
      const { a } = pair(random, 600, 0, 0.1, 'smooth');
      const { b } = pair(random, 600, 0, 0.1, 'smooth');
      const { low, high } = lagBetween(a, b, 1, { longest: 8 });
      return Number.isNaN(low) ? Infinity : high - low;
    });
    expect(Math.min(...widths)).toBeGreaterThan(2);
  });
});
