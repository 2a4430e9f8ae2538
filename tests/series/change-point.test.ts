import * as fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { breakReach } from '../../src/series/break-interval.ts';
import { optimalPartition, pettitt, robustSigmaOfDifferences, singleBreak } from '../../src/series/change-point.ts';
import { createRandom, type Random } from '../../src/series/random.ts';
import series from './data/series.json' with { type: 'json' };

/** First-order autoregression with unit marginal variance. */
function noise(random: Random, n: number, r: number): Float64Array {
  let last = random.normal();
  return Float64Array.from({ length: n }, () => {
    last = r * last + Math.sqrt(1 - r * r) * random.normal();
    return last;
  });
}

const NILE = 'S-44 Nile (data read in statsmodels, answers read in cran/strucchange';

describe('singleBreak', () => {
  test(`${NILE} example output, recalculated): 1898, 95 % interval 1895 to 1902`, () => {
    const found = singleBreak(series.nile, { autocorrelation: 0 });
    expect(found).toMatchObject({ index: 28, low: 25, high: 32, before: 1097.75, significant: true });
    expect(found?.after).toBeCloseTo(849.9722, 4);
    expect(found?.supF).toBeCloseTo(75.929769, 6);
    expect(found?.p).toBeLessThan(1e-9);
  });

  test('the autocorrelation left within the segments widens the interval', () => {
    const found = singleBreak(series.nile);
    expect(found?.autocorrelation).toBeGreaterThan(0.15);
    expect(found?.low).toBeLessThan(25);
    expect(found?.high).toBeGreaterThan(32);
    expect(found?.significant).toBe(true);
  });

  test('equal variances give the 11.03·variance/shift² of Bai 1997 (from memory)', () => {
    expect(breakReach(1, 1, 1)).toBeCloseTo(11.03, 1);
    expect(breakReach(2, 9, 9)).toBeCloseTo((11.03 * 9) / 4, 1);
  });

  test('quiet: noise without a break, independent or not, is called one about as often as alpha says', () => {
    const random = createRandom(5);
    for (const [r, most] of [
      [0, 0.06],
      [0.3, 0.08],
      [0.6, 0.1],
    ] as const) {
      let calls = 0;
      for (let run = 0; run < 500; run++) if (singleBreak(noise(random, 60, r))?.significant) calls++;
      expect(calls / 500).toBeLessThan(most);
    }
  });

  test('a shift of two standard deviations: found, and covered by its interval', () => {
    const random = createRandom(6);
    let found = 0;
    let covered = 0;
    for (let run = 0; run < 300; run++) {
      const values = noise(random, 200, 0.3).map((value, i) => value + (i < 80 ? 0 : 2));
      const shift = singleBreak(values);
      if (!shift?.significant) continue;
      found++;
      if (shift.low <= 80 && 80 <= shift.high) covered++;
    }
    expect(found).toBeGreaterThan(295);
    expect(covered / found).toBeGreaterThan(0.92);
  });

  test('a clean step is placed to the sample; too few values are no answer', () => {
    expect(singleBreak([1, 1, 1, 1, 5, 5, 5, 5])).toMatchObject({ index: 4, low: 4, high: 4, before: 1, after: 5, significant: true });
    expect(singleBreak([1, 2, 3])).toBeUndefined();
    expect(singleBreak([2, 2, 2, 2, 2, 2, 2, 2])?.significant).toBe(false);
  });
});

describe('optimalPartition', () => {
  const sigma = robustSigmaOfDifferences(series.nile);

  test(`${NILE}; partition recalculated): penalty 2σ² ln n finds one break, half of it splits the noise into twelve`, () => {
    expect(sigma).toBeCloseTo(115.3, 1);
    const n = series.nile.length;
    expect(optimalPartition(series.nile, { penalty: 2 * sigma * sigma * Math.log(n), minimumLength: 1 }).breaks).toEqual([28]);
    expect(optimalPartition(series.nile, { penalty: sigma * sigma * Math.log(n), minimumLength: 1 }).breaks).toHaveLength(11);
  });

  test('residual sums of squares with none, one, two breaks (strucchange, minimum length 15)', () => {
    const costs = [1e12, 500_000, 40_000].map((penalty) => optimalPartition(series.nile, { penalty, minimumLength: 15 }));
    expect(costs.map(({ breaks }) => breaks)).toEqual([[], [28], [28, 83]]);
    costs.forEach(({ cost }, i) => expect(Math.abs(cost - ([2_835_157, 1_597_457, 1_552_924][i] as number))).toBeLessThan(0.5));
  });

  test('is the optimum a plain search over all partitions finds', () => {
    const naive = (values: readonly number[], penalty: number, least: number): number => {
      const costOf = (from: number, to: number): number => {
        const part = values.slice(from, to);
        const mean = part.reduce((sum, x) => sum + x, 0) / part.length;
        return part.reduce((sum, x) => sum + (x - mean) ** 2, 0);
      };
      const best: number[] = [0];
      for (let end = 1; end <= values.length; end++) {
        let lowest = end >= least ? costOf(0, end) : Infinity;
        for (let from = least; from <= end - least; from++) lowest = Math.min(lowest, (best[from] as number) + penalty + costOf(from, end));
        best[end] = lowest;
      }
      return best[values.length] as number;
    };
    fc.assert(
      fc.property(
        fc.array(fc.integer({ min: -9, max: 9 }), { minLength: 8, maxLength: 40 }),
        fc.integer({ min: 1, max: 4 }),
        fc.constantFrom(3, 20, 100),
        (values, least, penalty) => {
          const { breaks, cost, means } = optimalPartition(values, { penalty, minimumLength: least });
          expect(cost + penalty * breaks.length).toBeCloseTo(naive(values, penalty, least), 6);
          expect(means).toHaveLength(breaks.length + 1);
          const edges = [0, ...breaks, values.length];
          for (let k = 1; k < edges.length; k++) expect((edges[k] as number) - (edges[k - 1] as number)).toBeGreaterThanOrEqual(least);
        },
      ),
      { numRuns: 200 },
    );
  });

  test('quiet: steady noise is one segment; nothing is nothing', () => {
    const values = noise(createRandom(8), 2000, 0);
    expect(optimalPartition(values, { penalty: 2 * robustSigmaOfDifferences(values) ** 2 * Math.log(2000) }).breaks).toEqual([]);
    expect(optimalPartition([], { penalty: 1 })).toMatchObject({ breaks: [], cost: 0 });
  });
});

describe('pettitt', () => {
  test(`${NILE}; recalculated): K 1617 at 28`, () => {
    expect(pettitt(series.nile)).toMatchObject({ statistic: 1617, index: 28 });
    expect(pettitt(series.nile).p).toBeCloseTo(3.59e-7, 9);
  });

  test('S-45 the CUSUM series of 1955 (data and answer read in cran/trend): t = 17, K = 232, p = 0.014', () => {
    const { statistic, index, p } = pettitt(series.page);
    expect([statistic, index]).toEqual([232, 17]);
    expect(p).toBeCloseTo(0.014556, 6);
  });
});

test('robustSigmaOfDifferences leaves out what touches a NaN', () => {
  expect(robustSigmaOfDifferences([1, 2, Number.NaN, 100, 101])).toBe(0);
  expect(robustSigmaOfDifferences([1, Number.NaN])).toBeNaN();
});
