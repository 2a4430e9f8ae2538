import * as fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { firstMinMaxLast } from '../../src/series/decimate.ts';
import { createRandom } from '../../src/series/random.ts';
import { hysteresisSpans } from '../../src/series/spans.ts';
import { meanPerCell } from '../../src/series/resample.ts';

describe('firstMinMaxLast', () => {
  test('one block per column; empty and missing ones say so', () => {
    const columns = firstMinMaxLast([0, 1, 2, 3, 4, 9], [5, 1, 8, Number.NaN, 2, 3], 0, 9, 3);
    expect([...columns.time]).toEqual([0, 3, 6]);
    expect([...columns.first]).toEqual([5, 2, Number.NaN]);
    expect([...columns.min]).toEqual([1, 2, Number.NaN]);
    expect([...columns.max]).toEqual([8, 2, Number.NaN]);
    expect([...columns.last]).toEqual([8, 2, Number.NaN]);
    expect([...columns.count]).toEqual([3, 1, 0]);
    expect([...columns.missing]).toEqual([0, 1, 0]);
  });

  test('loses no sample and no extreme', () => {
    const sample = fc.oneof({ weight: 5, arbitrary: fc.integer({ min: -1000, max: 1000 }) }, { weight: 1, arbitrary: fc.constant(Number.NaN) });
    fc.assert(
      fc.property(
        fc.array(fc.tuple(fc.integer({ min: 0, max: 400 }), sample), { maxLength: 200 }),
        fc.integer({ min: 1, max: 40 }),
        fc.integer({ min: 0, max: 200 }),
        (samples, columns, from) => {
          const sorted = samples.toSorted((a, b) => a[0] - b[0]);
          const time = sorted.map(([t]) => t / 3);
          const value = sorted.map(([, x]) => x);
          const to = 110;
          const blocks = firstMinMaxLast(time, value, from / 3, to, columns);
          const inside = value.filter((_, i) => (time[i] as number) >= from / 3 && (time[i] as number) < to);
          const present = inside.filter((x) => !Number.isNaN(x));
          expect(blocks.count.reduce((sum, n) => sum + n, 0)).toBe(present.length);
          expect(blocks.missing.reduce((sum, n) => sum + n, 0)).toBe(inside.length - present.length);
          const filled = [...blocks.count.keys()].filter((k) => (blocks.count[k] as number) > 0);
          expect(Math.min(...filled.map((k) => blocks.min[k] as number))).toBe(Math.min(...present));
          expect(Math.max(...filled.map((k) => blocks.max[k] as number))).toBe(Math.max(...present));
          expect(blocks.first[filled[0] ?? 0] ?? Number.NaN).toBe(present[0] ?? Number.NaN);
          expect(blocks.last[filled.at(-1) ?? 0] ?? Number.NaN).toBe(present.at(-1) ?? Number.NaN);
        },
      ),
    );
  });

  test('two million samples to 2000 columns, to cells and to spans: each within a second', () => {
    const random = createRandom(1);
    const n = 2_000_000;
    const time = Float64Array.from({ length: n }, (_, i) => i / 50);
    const value = Float32Array.from({ length: n }, () => random.next());
    const timed = (job: () => unknown): number => {
      const start = performance.now();
      job();
      return performance.now() - start;
    };
    expect(timed(() => firstMinMaxLast(time, value, 0, n / 50, 2000))).toBeLessThan(1000);
    expect(timed(() => meanPerCell(time, value, 0, 1, n / 50))).toBeLessThan(1000);
    expect(timed(() => hysteresisSpans(time, value, { enter: 0.001, leave: 0.5, side: 'below' }))).toBeLessThan(1000);
    const blocks = firstMinMaxLast(time, value, 0, n / 50, 2000);
    expect(blocks.count.every((count) => count === 1000)).toBe(true);
  });
});
