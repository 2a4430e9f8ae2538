import { describe, expect, test } from 'vitest';
import type { Blocks, Samples } from '../../shared/api.ts';
import type { EvidenceSeries } from '../../shared/evidence.ts';
import { aligned } from '../../web/panels/evidence/aligned.ts';
import { valueIn } from '../../web/plot/lane-store.ts';
import { pointsOf } from '../../web/plot/lines.ts';
import { together } from '../../web/plot/lines-together.ts';

const series = (more: Partial<EvidenceSeries> & Pick<EvidenceSeries, 'x' | 'y'>): EvidenceSeries => ({ label: 'a', style: 'line', role: 'subject', ...more });
const same = (value: number): number => value;

describe('series of an evidence on one axis', () => {
  test('a series breaks where it has null and runs on where only the other has a point', () => {
    const { x, lines } = aligned([series({ x: [1, 2, 3], y: [10, null, 30] }), series({ label: 'b', x: [2, 2.5], y: [1, 2] })], same);
    expect(x).toEqual([1, 2, 2.5, 3]);
    expect(lines[0]?.y).toEqual([10, null, undefined, 30]);
    expect(lines[1]?.y).toEqual([undefined, 1, 2, undefined]);
  });

  test('x in any order and twice; values that are no numbers break; units are converted', () => {
    const { x, lines } = aligned([series({ x: [3, 1, 1, Number.NaN, 2], y: [30, 9, 10, 7, Number.NaN] })], (value) => value * 2);
    expect(x).toEqual([1, 2, 3]);
    expect(lines[0]?.y).toEqual([20, null, 60]);
  });

  test('bounds follow their series as edges', () => {
    const { lines } = aligned([series({ x: [1], y: [2], low: [1], high: [3] })], same);
    expect(lines.map(({ label, isEdge, of, y }) => [label, isEdge, of, y])).toEqual([['a', false, 0, [2]], ['a, low', true, 0, [1]], ['a, high', true, 0, [3]]]);
  });

  test('no series, no points', () => expect(aligned([], same)).toEqual({ x: [], lines: [] }));
});

describe('samples and blocks as points', () => {
  const blocks: Blocks = {
    kind: 'blocks', from: 0, to: 3, samples: 12,
    first: Float32Array.of(1, Number.NaN, 5), min: Float32Array.of(-4, Number.NaN, 5), max: Float32Array.of(9, Number.NaN, 8), last: Float32Array.of(2, Number.NaN, 6),
  };

  test('no extreme of a block is lost, and an empty block breaks the line', () => {
    const { x, y } = pointsOf(blocks, (value) => 10 * value);
    expect(Array.from(x)).toEqual([0, 0.25, 0.5, 0.75, 1, 1.25, 1.5, 1.75, 2, 2.25, 2.5, 2.75]);
    expect(Array.from(y)).toEqual([10, -40, 90, 20, Number.NaN, Number.NaN, Number.NaN, Number.NaN, 50, 50, 80, 60]);
  });

  test('blocks beside samples: one axis, and what breaks a line still does', () => {
    const samples: Samples = { kind: 'samples', from: 0, to: 3, samples: 2, time: Float64Array.of(0.5, 2.1), value: Float64Array.of(7, 8) };
    const { x, lines } = together([pointsOf(blocks, same), pointsOf(samples, same)]);
    expect(Array.from(x)).toEqual([0, 0.25, 0.5, 0.75, 1, 1.25, 1.5, 1.75, 2, 2.1, 2.25, 2.5, 2.75]);
    expect(Array.from(lines[0] ?? [])).toEqual([1, -4, 9, 2, null, null, null, null, 5, undefined, 5, 8, 6]);
    expect(Array.from(lines[1] ?? []).filter((value) => value !== undefined)).toEqual([7, 8]);
  });

  test('a pause in the samples breaks the line; x stays ascending and unique', () => {
    const time = Float64Array.of(0, 1, 1, 2, 3, 60, 61);
    const samples: Samples = { kind: 'samples', from: 0, to: 61, samples: 7, time, value: Float64Array.of(1, 2, 3, 4, Number.NaN, 6, 7) };
    const points = pointsOf(samples, same);
    const [x, y] = [Array.from(points.x), Array.from(points.y)];
    expect(x.every((at, index) => index === 0 || at > (x[index - 1] ?? 0))).toBe(true);
    const gap = y.findIndex((value, index) => value === null && (x[index] ?? 0) > 3 && (x[index] ?? 0) < 60);
    expect(gap).toBeGreaterThan(0);
    expect(y[x.indexOf(1)]).toBe(3);
    expect(y[x.indexOf(3)]).toBeNull();
  });
});

describe('the value of a lane at an instant', () => {
  const blocks: Blocks = { kind: 'blocks', from: 10, to: 18, samples: 40, first: Float32Array.of(1, 2, Number.NaN, 4), min: Float32Array.of(1, 2, Number.NaN, 4), max: Float32Array.of(1, 2, Number.NaN, 4), last: Float32Array.of(1.5, 2.5, Number.NaN, 4.5) };
  test('in blocks of two seconds it is the last one of the block, held over an empty one', () => {
    expect([9.9, 10, 11.9, 12, 15, 16.5, 17.9].map((at) => valueIn(blocks, at, 1))).toEqual([Number.NaN, 1.5, 1.5, 2.5, 2.5, 4.5, 4.5]);
    expect(valueIn(blocks, 15.5, 1)).toBeNaN();
    expect(valueIn(blocks, 19, 1)).toBe(4.5);
    expect(valueIn(blocks, 19.1, 1)).toBeNaN();
  });
  test('of samples it is the last at or before, as long as it is held', () => {
    const samples: Samples = { kind: 'samples', from: 0, to: 9, samples: 2, time: Float64Array.of(2, 5), value: Float64Array.of(7, 8) };
    expect([1.9, 2, 4, 4.1, 5, 7.1].map((at) => valueIn(samples, at, 2))).toEqual([Number.NaN, 7, 7, Number.NaN, 8, Number.NaN]);
    expect(valueIn(undefined, 3, 2)).toBeNaN();
  });
});
