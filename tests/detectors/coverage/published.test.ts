import geographiclib from 'geographiclib-geodesic';
import { describe, expect, it } from 'vitest';
import type { Measurement } from '../../../shared/finding.ts';
import { coverage } from '../../../src/detectors/coverage/coverage.ts';
import { runDetector, type TestDay } from '../../support/detector-tester.ts';
import { lanesDay, PLANE, upAndDown, type Corner } from './lanes-day.ts';

const measured = (day: TestDay, name: string): Measurement => {
  const found = runDetector(coverage, day).measurements.find((each) => each.name === name);
  if (found === undefined) throw new Error(`no ${name}`);
  return found;
};

describe('areas against figures from outside', () => {
  it('two 18 m × 1000 m passes 17.5 m apart: union 3.55 ha, overlap 0.05 ha (plane geometry, checks.md section 7)', () => {
    const day = lanesDay({ lanes: upAndDown([0, 17.5], 1000), machine: { workingWidth: 18 } });
    /* The last second of each pass is worked but not yet driven: 2 m of 1000. */
    expect(measured(day, 'area.covered').value).toBeCloseTo(3.55, 1.9);
    expect(measured(day, 'area.overlap').value).toBeCloseTo(0.05, 3);
    expect(measured(day, 'area.missed').value).toBe(0);
    expect(measured(day, 'pass.spacing').value).toBeCloseTo(17.5, 3);
    const overlap = measured(day, 'area.overlap');
    expect(overlap.low).toBeLessThanOrEqual(0.05);
    expect(overlap.high).toBeGreaterThanOrEqual(0.05);
  });

  it('a square kilometre is 100 ha on the ellipsoid too (GeographicLib polygon of the same corners)', () => {
    const width = 20;
    const day = lanesDay({ lanes: upAndDown(Array.from({ length: 50 }, (_, i) => (i + 0.5) * width), 1000), machine: { workingWidth: width }, pause: 20 });
    const corners: readonly Corner[] = [[0, 0], [0, 1000], [1000, 1000], [1000, 0]];
    const polygon = geographiclib.Geodesic.WGS84.Polygon(false);
    for (const [east, north] of corners) {
      const [lon, lat] = PLANE.fromPlane(east, north);
      polygon.AddPoint(lat, lon);
    }
    const { area = Number.NaN } = polygon.Compute(false, true);
    expect(Math.abs(area)).toBeCloseTo(1e6, -3);
    const covered = measured(day, 'area.covered');
    expect(Math.abs(covered.value / (Math.abs(area) / 1e4) - 1)).toBeLessThan(0.003);
    expect(covered.low).toBeLessThan(100);
    expect(covered.high).toBeGreaterThan(99.7);
  });

  it('60 ft at 5 mph with 75 % field efficiency do 27.27 ac/h = 11.037 ha/h (University of Kentucky AEN-73: speed × width × efficiency ÷ 8.25)', () => {
    const speed = 5 * 0.44704;
    const seconds = 675;
    const lanes = upAndDown([0, 1, 2, 3].map((i) => i * 18.288), Math.round(speed * seconds * 1000) / 1000);
    const day = lanesDay({ lanes, machine: { workingWidth: 60 * 0.3048 }, speed, pause: 225 });
    const acres = (5 * 60 * 0.75) / 8.25;
    expect(acres).toBeCloseTo(27.2727, 4);
    expect(measured(day, 'area.covered').value).toBeCloseTo(acres * 0.40468564224, 1);
  });

  it('a pass that meets a headland at 30° must leave w²·tan 30°/2 = 97 m² for one section of 18.3 m, and nobody is blamed', () => {
    const [w, tan] = [18.288, Math.tan(Math.PI / 6)];
    const passes = 30;
    /* The lap's southern edge runs from the origin at 30°; every pass ends where its last corner reaches it. */
    const edge = (east: number): number => 400 + east * tan;
    const aside = (w / 2) / Math.cos(Math.PI / 6);
    const lap: readonly Corner[] = [[-60, edge(-60) + aside], [passes * w + 60, edge(passes * w + 60) + aside]];
    const day = lanesDay({
      lanes: [lap, ...Array.from({ length: passes }, (_, i): readonly Corner[] => {
        const east = (i + 0.5) * w;
        const far = edge(east + w / 2);
        /* Whole seconds each way, so that the end is a sample. */
        return i % 2 === 0 ? [[east, far - 300], [east, far]] : [[east, far], [east, far - 300]];
      })],
      machine: { workingWidth: w },
    });
    const result = runDetector(coverage, day);
    const floor = (w * w * tan) / 2;
    expect(floor).toBeCloseTo(97, 0);
    const overlap = result.measurements.find(({ name }) => name === 'area.overlap')?.value ?? 0;
    expect(overlap / ((passes * floor) / 1e4)).toBeGreaterThan(0.85);
    expect(overlap / ((passes * floor) / 1e4)).toBeLessThan(1.1);
    expect(result.findings).toEqual([]);
  });
});
