import { describe, expect, test } from 'vitest';
import { emptySetup, type Setup } from '../../shared/setup.ts';
import { openerPath, placeAt } from '../../src/field/openers.ts';
import { rowLines, runOffset } from '../../src/field/row-line.ts';
import { sectionsOf, swathsOf } from '../../src/field/swath.ts';
import { antennaTrack } from '../../src/field/track.ts';
import { pathAlong, trackAlong, turned, type Corner } from './lanes.ts';

const range = (first: number, last: number): number[] => Array.from({ length: last - first + 1 }, (_, i) => first + i);
const drill: Setup = {
  ...emptySetup,
  machine: {
    ...emptySetup.machine, rowSpacing: 0.3,
    towers: [{ id: 'A', runs: range(1, 10), section: '1' }, { id: 'B', runs: range(11, 20), section: '2' }, { id: 'C', runs: range(21, 30), section: '2' }],
  },
};

describe('where the openers are', () => {
  test.each([0, 90, 200, 300])('9.2 m behind and 0.5 m right of the antenna, course %d°', (degrees) => {
    const angle = (degrees * Math.PI) / 180;
    const { path } = pathAlong([turned([[0, 0], [0, 200]], angle)], { mount: { aft: 9.2, right: 0.5 } });
    const place = placeAt(path, 50);
    const [east, north] = turned([[0.5, 100 - 9.2]], angle)[0] ?? [NaN, NaN];
    expect(place?.east).toBeCloseTo(east, 2);
    expect(place?.north).toBeCloseTo(north, 2);
  });

  test('backing up does not turn the drill round', () => {
    const { track } = trackAlong([[[0, 0], [0, 100]], [[0, 100], [0, 96]], [[0, 96], [0, 200]]], 2, () => 0, 2);
    const path = openerPath(track, { aft: 10, right: 0 });
    for (const [i, north] of path.north.entries()) expect(north).toBeCloseTo((track.north[i] ?? NaN) - 10, 1);
  });

  test('standing still keeps the heading', () => {
    const jitter = [0.01, -0.01, 0.02, 0];
    const rows = range(0, 100).map((t) => [t, t < 50 ? 2 * t : 100 + (jitter[t % 4] ?? 0)] as const);
    const { plane } = pathAlong([[[0, 0], [0, 10]]]);
    const places = rows.map(([, north]) => plane.fromPlane(0, north));
    const time = Float64Array.from(rows, ([t]) => t);
    const path = openerPath(antennaTrack({ time, value: Float64Array.from(places, ([, lat]) => lat) }, { time, value: Float64Array.from(places, ([lon]) => lon) }, plane), { aft: 10, right: 0 });
    expect(path.heading.every((heading) => Math.abs(Math.sin(heading)) < 0.05 && Math.cos(heading) > 0)).toBe(true);
  });

  test('nothing is known across a pause of the log, or a jump', () => {
    const { path } = pathAlong([[[0, 0], [0, 100]], [[0, 130], [0, 230]]], { mount: { aft: 0, right: 0 } });
    expect(path.broken.reduce((sum, each) => sum + each, 0)).toBe(2);
    expect(placeAt(path, 80)).toBeUndefined();
    const swaths = swathsOf(path, [{ id: '', left: -5, right: 5, on: [{ start: 0, end: 1000 }] }]);
    expect(swaths.count).toBe(100);
  });

  test('a receiver that reports 0° N 0° E for a while is not followed there', () => {
    const { plane } = pathAlong([[[0, 0], [0, 10]]]);
    const time = Float64Array.from({ length: 200 }, (_, i) => i);
    const places = [...time].map((t) => (t >= 100 && t < 120 ? ([0, 0] as const) : plane.fromPlane(0, 2 * t)));
    const track = antennaTrack({ time, value: Float64Array.from(places, ([, lat]) => lat) }, { time, value: Float64Array.from(places, ([lon]) => lon) });
    expect(track.time).toHaveLength(180);
    expect(track.broken.reduce((sum, each) => sum + each, 0)).toBe(2);
  });

  test('5 Hz samples that start late are not shifted', () => {
    const { plane } = pathAlong([[[0, 0], [0, 10]]]);
    const time = Float64Array.from({ length: 500 }, (_, i) => 10.17 + i / 5);
    const places = [...time].map((t) => plane.fromPlane(0, 2 * t));
    const track = antennaTrack({ time, value: Float64Array.from(places, ([, lat]) => lat) }, { time, value: Float64Array.from(places, ([lon]) => lon) }, plane);
    expect(track.time.length).toBeLessThan(103);
    for (const [i, north] of track.north.entries()) expect(north).toBeCloseTo(2 * (track.time[i] ?? NaN), 4);
  });
});

describe('sections', () => {
  test('by the towers, from the left', () => {
    expect(sectionsOf(drill)).toEqual([{ id: '1', left: -4.5, right: expect.closeTo(-1.5) as number }, { id: '2', left: expect.closeTo(-1.5) as number, right: 4.5 }]);
  });

  test('without towers the logged ones share the width; without a width there is nothing to say', () => {
    const bare: Setup = { ...emptySetup, machine: { ...emptySetup.machine, workingWidth: 12 } };
    expect(sectionsOf(bare, ['1', '2', '3']).map(({ left, right }) => [Math.round(left), Math.round(right)])).toEqual([[-6, -2], [-2, 2], [2, 6]]);
    expect(sectionsOf(bare)).toEqual([{ id: '', left: -6, right: 6 }]);
    expect(sectionsOf(emptySetup, ['1'])).toEqual([]);
  });

  test('a section switched within a second covers its share of the second', () => {
    const { path } = pathAlong([[[0, 0], [0, 100]]]);
    const swaths = swathsOf(path, [
      { id: '1', left: -5, right: 0, on: [{ start: 10.25, end: 30 }] },
      { id: '2', left: 0, right: 5, on: [{ start: 10, end: 30.5 }] },
    ]);
    let area = 0;
    for (let s = 0; s < swaths.count; s++) {
      const at = (corner: number): Corner => [swaths.corners[8 * s + 2 * corner] ?? NaN, swaths.corners[8 * s + 2 * corner + 1] ?? NaN];
      const [a, b, , d] = [at(0), at(1), at(2), at(3)];
      area += Math.hypot(b[0] - a[0], b[1] - a[1]) * Math.hypot(d[0] - a[0], d[1] - a[1]);
    }
    expect(area).toBeCloseTo(2 * 5 * (19.75 + 20.5), 3);
    /* Both on: one swath, not two. */
    expect(swaths.count).toBe(1 + 1 + 19 + 1);
  });
});

describe('the line one run drew on the ground', () => {
  test('run 1 lies left, run 30 right, a run that is not there nowhere', () => {
    expect(runOffset(drill, 1)).toBeCloseTo(-14.5 * 0.3);
    expect(runOffset(drill, 30)).toBeCloseTo(14.5 * 0.3);
    expect(runOffset(drill, 31)).toBeUndefined();
  });

  test('from start to end of the span, in degrees, behind the antenna', () => {
    const { path, plane } = pathAlong([[[0, 0], [0, 200]]], { mount: { aft: 9.2, right: 0 } });
    const [line, ...more] = rowLines(path, -4.35, { start: 20.5, end: 60 });
    expect(more).toEqual([]);
    expect(line).toHaveLength(2);
    const places = (line ?? []).map(([longitude, latitude]) => plane.toPlane(latitude, longitude));
    expect(places[0]?.[0]).toBeCloseTo(-4.35, 2);
    expect(places[0]?.[1]).toBeCloseTo(41 - 9.2, 2);
    expect(places[1]?.[1]).toBeCloseTo(120 - 9.2, 2);
  });

  test('is cut where the track is', () => {
    const { path } = pathAlong([[[0, 0], [0, 100]], [[18, 100], [18, 0]]]);
    expect(rowLines(path, 0, { start: 10, end: 150 })).toHaveLength(2);
  });
});
