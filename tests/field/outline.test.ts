import { describe, expect, test } from 'vitest';
import { outlinesOf, ringArea, ringInDegrees } from '../../src/field/outline.ts';
import { simplified } from '../../src/field/simplify.ts';
import { swathsOf } from '../../src/field/swath.ts';
import { pathAlong, turned, type Corner } from './lanes.ts';

function outlinesAlong(lanes: readonly (readonly Corner[])[], width: number) {
  const { path, spans, plane } = pathAlong(lanes);
  return { plane, outlines: outlinesOf(swathsOf(path, [{ id: '', left: -width / 2, right: width / 2, on: spans }])) };
}

describe('outlines for the map', () => {
  test.each([0, 30, 45, 77])('one pass of 18 m × 400 m, turned by %d°: one ring of few points', (degrees) => {
    const { outlines } = outlinesAlong([turned([[0, 0], [0, 400]], (degrees * Math.PI) / 180)], 18);
    expect(outlines).toHaveLength(1);
    expect(outlines[0]?.holes).toEqual([]);
    expect(Math.abs((outlines[0]?.area ?? NaN) / 7200 - 1)).toBeLessThan(0.05);
    expect(outlines[0]?.outer.length).toBeLessThan(degrees === 0 ? 9 : 40);
  });

  test('four passes round a pond leave a hole, two fields are two outlines', () => {
    const ring: Corner[][] = [[[0, 0], [0, 200]], [[-9, 209], [191, 209]], [[182, 200], [182, 0]], [[191, -9], [-9, -9]]];
    const { outlines } = outlinesAlong([...ring, [[1000, 0], [1000, 100]]], 18);
    expect(outlines).toHaveLength(2);
    expect(outlines[0]?.holes).toHaveLength(1);
    expect(Math.abs(-ringArea(outlines[0]?.holes[0] ?? []) - 164 * 200)).toBeLessThan(400);
    expect(outlines[1]?.holes).toEqual([]);
  });

  test('fields 20 km apart are still drawn', () => {
    const { outlines } = outlinesAlong([[[0, 0], [0, 400]], [[20_000, 20_000], [20_000, 20_400]]], 18);
    expect(outlines).toHaveLength(2);
    for (const { area } of outlines) expect(Math.abs(area / 7200 - 1)).toBeLessThan(0.3);
  });

  test('nothing covered, nothing drawn', () => {
    expect(outlinesOf({ count: 0, corners: new Float64Array(), time: new Float64Array(), heading: new Float64Array() })).toEqual([]);
  });

  test('rings in degrees are closed and in the right place', () => {
    const { outlines, plane } = outlinesAlong([[[0, 0], [0, 400]]], 18);
    const ring = ringInDegrees(outlines[0]?.outer ?? [], plane);
    expect(ring[0]).toEqual(ring.at(-1));
    for (const [longitude, latitude] of ring) {
      const [east, north] = plane.toPlane(latitude, longitude);
      expect(Math.abs(east)).toBeLessThan(10.5);
      expect(north).toBeGreaterThan(-1.5);
      expect(north).toBeLessThan(401.5);
    }
  });
});

describe('lines with fewer points', () => {
  test('a straight line keeps its ends, a corner stays', () => {
    expect(simplified([[0, 0], [1, 0.05], [2, -0.05], [3, 0]], 0.1)).toEqual([[0, 0], [3, 0]]);
    expect(simplified([[0, 0], [1, 0], [2, 0], [2, 1], [2, 2]], 0.1)).toEqual([[0, 0], [2, 0], [2, 2]]);
  });

  test('no point lies further off than the tolerance', () => {
    const circle = Array.from({ length: 200 }, (_, i): Corner => [50 * Math.cos(i / 32), 50 * Math.sin(i / 32)]);
    const few = simplified(circle, 0.5);
    expect(few.length).toBeLessThan(40);
    /* Sagitta of each kept chord: R − √(R² − (c/2)²). */
    for (let i = 1; i < few.length; i++) {
      const [[xa, ya], [xb, yb]] = [few[i - 1] ?? [0, 0], few[i] ?? [0, 0]];
      expect(50 - Math.sqrt(2500 - Math.hypot(xb - xa, yb - ya) ** 2 / 4)).toBeLessThan(0.52);
    }
  });
});
