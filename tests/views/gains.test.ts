import fc from 'fast-check';
import { expect, test } from 'vitest';
import { mediansOfOthers, usualShares } from '../../src/views/gains.ts';

/** The plain way: the others listed, put in order, the middle taken. */
function plainMedian(values: readonly number[]): number {
  const sorted = values.filter((each) => !Number.isNaN(each)).sort((a, b) => a - b);
  if (sorted.length < 2) return Number.NaN;
  const half = sorted.length >> 1;
  return sorted.length % 2 === 1 ? (sorted[half] as number) : ((sorted[half - 1] as number) + (sorted[half] as number)) / 2;
}

test('the median of the others is what leaving each out and sorting gives', () => {
  const flow = fc.oneof({ weight: 4, arbitrary: fc.integer({ min: 0, max: 9 }) }, { weight: 1, arbitrary: fc.constant(Number.NaN) });
  fc.assert(fc.property(fc.array(fc.tuple(flow, fc.boolean()), { minLength: 1, maxLength: 14 }), (rows) => {
    const medians = new Float64Array(rows.length);
    mediansOfOthers(Float32Array.from([7, ...rows.map(([value]) => value)]), 1, Uint8Array.from(rows, ([, counts]) => Number(counts)), medians);
    const wanted = rows.map(([, ], r) => plainMedian(rows.filter(([, counts], other) => other !== r && counts).map(([value]) => value)));
    expect([...medians]).toEqual(wanted);
  }), { seed: 1, numRuns: 500 });
});

test('a run that always gets 5 % more than its mates has that as its usual share; a blocked one has none', () => {
  const rows = [1, 1.05, 1, 1, 0].map((share) => Float32Array.from({ length: 200 }, (_, k) => share * (100 + (k % 7))));
  expect(usualShares(rows).map((each) => Math.round(each * 100) / 100)).toEqual([1, 1.05, 1, 1, 1]);
});
