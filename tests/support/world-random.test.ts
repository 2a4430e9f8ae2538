import { describe, expect, it } from 'vitest';
import { createRandom, wander } from './world/random.ts';

const moments = (values: readonly number[]): { readonly mean: number; readonly variance: number } => {
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
  return { mean, variance: values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / (values.length - 1) };
};
const N = 40_000;
const draw = (make: () => number): number[] => Array.from({ length: N }, make);

describe('random numbers of the synthetic days', () => {
  it('repeat for a seed and stream, and differ between them', () => {
    const first = (seed: number, stream: string): number[] => { const random = createRandom(seed, stream); return Array.from({ length: 5 }, random.uniform); };
    expect(first(1, 'a')).toEqual(first(1, 'a'));
    expect(first(1, 'a')).not.toEqual(first(2, 'a'));
    expect(first(1, 'a')).not.toEqual(first(1, 'b'));
  });

  it('are standard normal: Φ(1.96) = 0.975 (table value)', () => {
    const random = createRandom(3);
    const values = draw(random.normal);
    const { mean, variance } = moments(values);
    expect(Math.abs(mean)).toBeLessThan(4 / Math.sqrt(N));
    expect(Math.abs(variance - 1)).toBeLessThan(4 * Math.sqrt(2 / N));
    expect(values.filter((value) => value < 1.959964).length / N).toBeCloseTo(0.975, 2);
  });

  it.each([0.3, 5, 11.9, 12.1, 68, 214])('Poisson of mean %d has that mean and variance, and P(0) = exp(−mean)', (mean) => {
    const random = createRandom(5, String(mean));
    const values = draw(() => random.poisson(mean));
    const seen = moments(values);
    expect(Math.abs(seen.mean - mean)).toBeLessThan(4.5 * Math.sqrt(mean / N));
    expect(Math.abs(seen.variance / mean - 1)).toBeLessThan(4.5 * Math.sqrt(2 / N + 1 / (mean * N)));
    const zeros = values.filter((value) => value === 0).length / N;
    expect(Math.abs(zeros - Math.exp(-mean))).toBeLessThan(4.5 * Math.sqrt((Math.exp(-mean) + 1e-6) / N) + 1e-9);
  });

  it.each([[30, 2], [178, 1.5], [62, 1.2], [2, 3]])('counts of mean %d and variance/mean %d', (mean, fano) => {
    const random = createRandom(7, `${mean}`);
    const seen = moments(draw(() => random.counts(mean, fano)));
    expect(Math.abs(seen.mean - mean)).toBeLessThan(4.5 * Math.sqrt((mean * fano) / N));
    expect(Math.abs(seen.variance / seen.mean / fano - 1)).toBeLessThan(0.06);
  });

  it('wander keeps its standard deviation and forgets over its correlation time: r(τ) = 1/e', () => {
    const random = createRandom(9);
    const next = wander(random, 6, 5);
    const values = draw(() => next(1));
    const { mean, variance } = moments(values);
    expect(Math.sqrt(variance)).toBeCloseTo(6, 0);
    let covariance = 0;
    for (let i = 5; i < N; i++) covariance += ((values[i] as number) - mean) * ((values[i - 5] as number) - mean);
    expect(covariance / (N - 5) / variance).toBeCloseTo(Math.exp(-1), 1);
  });
});
