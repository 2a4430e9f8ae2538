import { describe, expect, test } from 'vitest';
import { addedAt, composed, corrected, fitClock } from '../../src/reading/clock-line.ts';
import { stepsAtGaps } from '../../src/reading/clock-steps.ts';
import { correlationAtAllLags } from '../../src/reading/correlation-search.ts';
import { createStretchTracker } from '../../src/reading/stretch-tracker.ts';
import { createRandom } from '../../src/series/random.ts';

describe('correlation at all lags', () => {
  /** Pearson's r about zero over the pairs both have, by its definition. */
  const direct = (a: Float64Array, b: Float64Array, lag: number): { r: number; n: number } => {
    let [ab, aa, bb, n] = [0, 0, 0, 0];
    a.forEach((x, i) => {
      const y = b[i + lag];
      if (y === undefined || Number.isNaN(x) || Number.isNaN(y)) return;
      ab += x * y;
      aa += x * x;
      bb += y * y;
      n += 1;
    });
    return { r: ab / Math.sqrt(aa * bb), n };
  };

  test('equals the sums written out, unknown cells left out', () => {
    const random = createRandom(3);
    const make = (n: number): Float64Array => Float64Array.from({ length: n }, () => (random.next() < 0.1 ? Number.NaN : random.normal()));
    const a = make(57);
    const b = make(100);
    const { first, correlation, overlap } = correlationAtAllLags(a, b, 10);
    expect(first).toBe(-56);
    expect(correlation).toHaveLength(156);
    correlation.forEach((r, k) => {
      const sums = direct(a, b, first + k);
      expect(overlap[k]).toBe(sums.n);
      if (sums.n >= 10) expect(r).toBeCloseTo(sums.r, 9);
      else expect(r).toBeNaN();
    });
  });
});

describe('correlation of series that stand still', () => {
  test('a stretch of zeros correlates with nothing, whatever rounding leaves of it', () => {
    const a = Float64Array.from({ length: 200 }, (_, i) => (i < 100 ? 0 : Math.sin(i)));
    const b = Float64Array.from({ length: 100 }, (_, i) => Math.cos(i * 1.7));
    const { first, correlation } = correlationAtAllLags(a, b, 50);
    correlation.forEach((r, k) => {
      const lag = first + k;
      if (lag >= 0 && lag <= 50) expect(r).toBeNaN();
      else if (!Number.isNaN(r)) expect(Math.abs(r)).toBeLessThanOrEqual(1);
    });
    expect(correlation.some((r) => r > 0)).toBe(true);
  });
});

describe('a clock line', () => {
  const random = createRandom(5);
  const points = (offset: number, drift: number, noise: number, n = 20) => Array.from({ length: n }, (_, i) => ({ time: 1e9 + i * 1500, added: offset + drift * i * 1500 + noise * random.normal() }));

  test('level points give no drift', () => {
    const fit = fitClock(points(12, 0, 0.1), 1e9, 0.3);
    expect(fit?.line.drift).toBe(0);
    expect(Math.abs((fit?.line.offset ?? 0) - 12)).toBeLessThan(0.1);
  });

  test('a drift that moves the clock too little is left out, and still reported', () => {
    const fit = fitClock(points(12, 1e-5, 0.001), 1e9, 0.6);
    expect(fit?.line.drift).toBe(0);
    expect(fit?.drift).toBeCloseTo(1e-5, 6);
  });

  test('offset at the start and drift, with three strays among twenty', () => {
    const some = points(-47, -5e-4, 0.1).map((point, i) => (i % 7 === 3 ? { ...point, added: point.added + 30 } : point));
    const fit = fitClock(some, 1e9, 0.3);
    expect(fit?.strays).toBe(3);
    expect(Math.abs((fit?.line.offset ?? 0) + 47)).toBeLessThan(fit?.offsetReach ?? 0);
    expect(Math.abs((fit?.line.drift ?? 0) + 5e-4)).toBeLessThan(fit?.driftReach ?? 0);
  });

  test('95 % intervals hold the truth about 95 times in 100', () => {
    let inside = 0;
    for (let i = 0; i < 400; i += 1) {
      const fit = fitClock(points(3, 5e-4, 0.1, 12), 1e9, 0.3);
      if (fit !== undefined && Math.abs(fit.line.offset - 3) <= fit.offsetReach) inside += 1;
    }
    expect(inside / 400).toBeGreaterThan(0.91);
    expect(inside / 400).toBeLessThan(0.99);
  });

  test('two points are too few', () => {
    expect(fitClock(points(1, 0, 0, 2), 1e9, 0.3)).toBeUndefined();
  });

  test('one after the other is one line', () => {
    const inner = { at: 100, offset: 20, drift: 0.01 };
    const outer = { at: 500, offset: -7, drift: -0.02 };
    for (const t of [0, 100, 12_345]) expect(corrected(t, composed(inner, outer))).toBeCloseTo(corrected(corrected(t, inner), outer), 9);
    expect(addedAt(200, inner)).toBeCloseTo(21, 12);
  });
});

describe('steps at gaps', () => {
  const random = createRandom(9);
  const gaps = [{ start: 3000, end: 3060 }, { start: 9000, end: 9400 }];
  const points = (added: (t: number) => number) => Array.from({ length: 20 }, (_, i) => ({ time: i * 750, added: added(i * 750) + 0.1 * random.normal() }));

  test('none where the clock runs on, with or without drift', () => {
    expect(stepsAtGaps(points(() => 5), gaps)).toEqual([]);
    expect(stepsAtGaps(points((t) => 5 + t / 1000), gaps)).toEqual([]);
  });

  test('none that only scatter could make', () => {
    expect(stepsAtGaps(points((t) => (t <= 9000 ? 0 : 0.3)), gaps)).toEqual([]);
  });

  test('one, and two in order', () => {
    expect(stepsAtGaps(points((t) => (t <= 9000 ? 5 : 9)), gaps)).toEqual([gaps[1]]);
    expect(stepsAtGaps(points((t) => (t <= 3000 ? 0 : t <= 9000 ? 50 : -20)), gaps)).toEqual(gaps);
  });
});

describe('stretches of a log', () => {
  test('samples are followed through a step back, slightly disordered ones stay', () => {
    const stretchOf = createStretchTracker([{ first: 0, last: 100, records: 100 }, { first: 40, last: 200, records: 160 }]);
    expect([0, 50, 49.5, 99, 41, 60, 100, 150].map(stretchOf)).toEqual([0, 0, 0, 0, 1, 1, 1, 1]);
  });

  test('and to a far-off clock and back', () => {
    const stretchOf = createStretchTracker([{ first: 1e9, last: 1e9 + 50, records: 50 }, { first: 10, last: 60, records: 50 }, { first: 1e9 + 100, last: 1e9 + 200, records: 100 }]);
    expect([1e9, 1e9 + 50, 10, 60, 1e9 + 100, 1e9 + 150].map(stretchOf)).toEqual([0, 0, 1, 1, 2, 2]);
  });
});
