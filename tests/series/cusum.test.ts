import { describe, expect, test } from 'vitest';
import { ewma, poissonReference, tabularCusum, type CusumOptions, type CusumSide } from '../../src/series/cusum.ts';
import { momentsOf } from '../../src/series/moments.ts';
import { createRandom, type Random } from '../../src/series/random.ts';

const HANDBOOK = [
  324.925, 324.675, 324.725, 324.35, 325.35, 325.225, 324.125, 324.525, 325.225, 324.6, 324.625, 325.15, 328.325, 327.25, 327.825, 328.5,
  326.675, 327.775, 326.875, 328.35,
];

describe('tabularCusum', () => {
  test('S-17 the e-Handbook table (6.3.2.3, read in transcriptions, recalculated)', () => {
    const { high, low, signals } = tabularCusum(HANDBOOK, { target: 325, k: 0.3175, h: 4.1959 });
    const highTable = [0, 0, 0, 0, 0.03, 0, 0, 0, 0, 0, 0, 0, 3.01, 4.94, 7.45, 10.63, 11.99, 14.44, 16.0, 19.04];
    const lowTable = [0, 0.01, 0, 0.33, 0, 0, 0.56, 0.72, 0.17, 0.25, 0.31, 0, 0, 0, 0, 0, 0, 0, 0, 0];
    highTable.forEach((value, i) => expect(Math.abs((high[i] as number) - value)).toBeLessThan(0.005 + 1e-9));
    lowTable.forEach((value, i) => expect(Math.abs((low[i] as number) - value)).toBeLessThan(0.005 + 1e-9));
    expect(signals).toEqual([{ side: 'high', index: 13, onset: 12 }]);
  });

  test('quiet: noise within the slack, and NaN windows, leave the sums alone', () => {
    expect(tabularCusum([0.4, -0.4, 0.4], { target: 0, k: 0.5, h: 4 }).signals).toEqual([]);
    const { high } = tabularCusum([3, Number.NaN, 3], { target: 0, k: 0.5, h: 4 });
    expect([...high]).toEqual([2.5, 2.5, 5]);
  });

  test('one signal per excursion, each with its own onset', () => {
    const values = [0, 3, 3, 3, -20, 0, 0, 3, 3, 3];
    const { signals } = tabularCusum(values, { target: 0, k: 0.5, h: 4 });
    expect(signals.filter((signal) => signal.side === 'high')).toEqual([
      { side: 'high', index: 2, onset: 1 },
      { side: 'high', index: 8, onset: 7 },
    ]);
  });
});

/** Values until the chart signals, over many seeded runs; the mean and three standard errors of it. */
function runLengths(firstSignal: (values: Float64Array) => number, draw: () => number, runs: number, usual: number) {
  const lengths = Array.from({ length: runs }, () => {
    let values = new Float64Array(0);
    for (let size = Math.ceil(usual); ; size *= 2) {
      const longer = Float64Array.from({ length: size }, (_, i) => values[i] ?? draw());
      const at = firstSignal(longer);
      if (at >= 0) return at + 1;
      values = longer;
    }
  });
  const { mean, sd } = momentsOf(lengths);
  return { mean, reach: (3 * sd) / Math.sqrt(runs) };
}

const cusumSignal = (options: CusumOptions, side?: CusumSide) => (values: Float64Array) =>
  tabularCusum(values, options).signals.find((signal) => side === undefined || signal.side === side)?.index ?? -1;

describe('S-19 average run length of a CUSUM, k = 0.5 (1982 paper read in cran/spc xcusum.arl.Rd, recalculated by integral equation)', () => {
  test.each([
    [4, 0, 0, 168],
    [4, 0, 0.5, 26.6],
    [4, 0, 1, 8.38],
    [4, 0, 2, 3.34],
    [4, 2, 0, 149],
    [4, 2, 1, 5.29],
    [5, 0, 0, 465.4],
    [5, 0, 1, 10.38],
  ])('h = %d, head start %d, shift %d σ: %d', (h, headStart, shift, published) => {
    const random = createRandom(1000 * h + 100 * headStart + shift);
    const { mean, reach } = runLengths(cusumSignal({ target: 0, k: 0.5, h, headStart }), () => random.normal() + shift, 2000, published);
    expect(Math.abs(mean - published)).toBeLessThan(reach + 0.005 * published);
  });

  test.each([
    [0, 117.6],
    [1.5, 3.75],
  ])('one-sided, h = 3, shift %d σ: %d (1972 paper)', (shift, published) => {
    const random = createRandom(17 + shift);
    const { mean, reach } = runLengths(cusumSignal({ target: 0, k: 0.5, h: 3 }, 'high'), () => random.normal() + shift, 2000, published);
    expect(Math.abs(mean - published)).toBeLessThan(reach + 0.005);
  });
});

/** First-order autoregression with unit marginal variance. */
function autoregression(random: Random, r: number): () => number {
  let last = random.normal();
  return () => {
    last = r * last + Math.sqrt(1 - r * r) * random.normal();
    return last;
  };
}

test.each([
  [0.25, 121],
  [0.5, 50],
  [0.9, 27],
])('S-21 autocorrelation %d brings the run length of h = 5 from 465 down to about %d: never chart raw samples (derived)', (r, published) => {
  const random = createRandom(Math.round(100 * r));
  const signal = cusumSignal({ target: 0, k: 0.5, h: 5 });
  const lengths = Array.from({ length: 800 }, () => runLengths(signal, autoregression(random, r), 1, 4 * published).mean);
  const { mean, sd } = momentsOf(lengths);
  // The published means rest on 300 runs themselves.
  const reach = 3 * sd * Math.sqrt(1 / lengths.length + 1 / 300);
  expect(Math.abs(mean - published)).toBeLessThan(reach);
});

describe('ewma', () => {
  test('S-18 the e-Handbook example (6.3.2.4, read in transcriptions, recalculated)', () => {
    const x = [52, 47, 53, 49.3, 50.1, 47, 51, 50.1, 51.2, 50.5, 49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1];
    const table = [
      50.6, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33, 50.11, 49.36, 49.52, 50.05, 49.38, 49.92, 50.73, 51.23, 51.94, 51.99,
    ];
    const { average, upper, lower, outside } = ewma(x, { lambda: 0.3, start: 50, sigma: 2.0539, L: 3 });
    table.forEach((value, i) => expect(Math.abs((average[i] as number) - value)).toBeLessThan(0.005 + 1e-9));
    expect(Math.abs(upper - 52.5884)).toBeLessThan(1e-4);
    expect(Math.abs(lower - 47.4115)).toBeLessThan(1e-4);
    expect(outside).toEqual([]);
  });

  test.each([
    [0.5, 3.071, 0, 500],
    [0.5, 3.071, 1, 17.5],
    [0.03, 2.437, 0.5, 29.3],
  ])('S-20 average run length, λ = %d, L = %d, shift %d σ: %d (1990 table read in cran/spc xewma.arl.Rd)', (lambda, L, shift, published) => {
    const random = createRandom(published);
    const first = (values: Float64Array): number => ewma(values, { lambda, start: 0, sigma: 1, L }).outside[0] ?? -1;
    const { mean, reach } = runLengths(first, () => random.normal() + shift, 1500, published);
    expect(Math.abs(mean - published)).toBeLessThan(reach + 0.005 * published);
  });

  test('a NaN window leaves the average as it was', () => {
    expect([...ewma([1, Number.NaN, 1], { lambda: 0.5, start: 0, sigma: 1, L: 3 }).average]).toEqual([0.5, 0.5, 0.75]);
  });
});

test('S-38 Poisson CUSUM reference value between means 4 and 7 (1985 example from memory, derived)', () => {
  expect(poissonReference(4, 7)).toBeCloseTo(5.3608, 4);
});
