import { describe, expect, test } from 'vitest';
import type { Blocks, Samples } from '../../shared/api.ts';
import type { EvidenceSeries } from '../../shared/evidence.ts';
import { aligned } from '../../web/panels/evidence/aligned.ts';
import { pointsOf } from '../../web/plot/lines.ts';

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
    kind: 'blocks', from: 0, to: 3, samples: 12, time: Float64Array.of(0, 1, 2), first: Float32Array.of(1, Number.NaN, 5), min: Float32Array.of(-4, Number.NaN, 5),
    max: Float32Array.of(9, Number.NaN, 8), last: Float32Array.of(2, Number.NaN, 6), count: Uint32Array.of(8, 0, 4),
  };

  test('no extreme of a block is lost, and an empty block breaks the line', () => {
    const { x, y } = pointsOf(blocks, same);
    expect(y.slice(0, 4)).toEqual(expect.arrayContaining([1, -4, 9, 2]));
    expect(y.filter((value) => value === null).length).toBeGreaterThanOrEqual(1);
    expect(Math.max(...y.filter((value) => value !== null))).toBe(9);
    expect(Math.min(...y.filter((value) => value !== null))).toBe(-4);
    expect(x.every((at, index) => index === 0 || at > (x[index - 1] ?? 0))).toBe(true);
  });

  test('a pause in the samples breaks the line; x stays ascending and unique', () => {
    const time = Float64Array.of(0, 1, 1, 2, 3, 60, 61);
    const samples: Samples = { kind: 'samples', from: 0, to: 61, samples: 7, time, value: Float64Array.of(1, 2, 3, 4, Number.NaN, 6, 7) };
    const { x, y } = pointsOf(samples, same);
    expect(x.every((at, index) => index === 0 || at > (x[index - 1] ?? 0))).toBe(true);
    const gap = y.findIndex((value, index) => value === null && (x[index] ?? 0) > 3 && (x[index] ?? 0) < 60);
    expect(gap).toBeGreaterThan(0);
    expect(y[x.indexOf(1)]).toBe(3);
    expect(y[x.indexOf(3)]).toBeNull();
  });
});
