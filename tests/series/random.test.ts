import { expect, test } from 'vitest';
import { momentsOf } from '../../src/series/moments.ts';
import { createRandom, xoshiro128 } from '../../src/series/random.ts';

test('xoshiro128** from state 1, 2, 3, 4 (reference output read in a public test suite)', () => {
  const word = xoshiro128([1, 2, 3, 4]);
  expect(Array.from({ length: 5 }, word)).toEqual([11520, 0, 5927040, 70819200, 2031721883]);
});

test('the same seed gives the same numbers, a neighbouring one others', () => {
  const draw = (seed: number): number[] => {
    const random = createRandom(seed);
    return [random.next(), random.normal(), random.integer(1000), random.normal()];
  };
  expect(draw(7)).toEqual(draw(7));
  for (const other of [8, 7.5, -7, 0]) expect(draw(other)).not.toEqual(draw(7));
});

test('moments of 200 000 uniform and normal numbers lie within five standard errors', () => {
  const random = createRandom(2);
  const n = 200_000;
  const uniform = Float64Array.from({ length: n }, () => random.next());
  const normal = Float64Array.from({ length: n }, () => random.normal());
  expect(Math.abs(momentsOf(uniform).mean - 0.5)).toBeLessThan(5 * Math.sqrt(1 / 12 / n));
  expect(Math.abs(momentsOf(normal).mean)).toBeLessThan(5 / Math.sqrt(n));
  expect(Math.abs(momentsOf(normal).sd - 1)).toBeLessThan(5 / Math.sqrt(2 * n));
  expect(uniform.every((x) => x >= 0 && x < 1)).toBe(true);
  expect(normal.filter((x) => Math.abs(x) > 2).length / n).toBeCloseTo(0.0455, 2);
});

test('integers cover their range evenly', () => {
  const random = createRandom(3);
  const counts = new Uint32Array(7);
  for (let i = 0; i < 70_000; i++) {
    const k = random.integer(7);
    counts[k] = (counts[k] as number) + 1;
  }
  for (const count of counts) expect(Math.abs(count - 10_000)).toBeLessThan(500);
});
