import { describe, expect, test } from 'vitest';
import { createRandom } from '../../src/series/random.ts';
import { openerPath } from '../../src/field/openers.ts';
import { passSpacings } from '../../src/field/pass-spacing.ts';
import { areaByPosition, areaBySpeed } from '../../src/field/worked-area.ts';
import { coverageAlong, pathAlong, trackAlong, turned, type Corner } from './lanes.ts';

const backAndForth = (n: number, spacing: number, length = 300): Corner[][] =>
  Array.from({ length: n }, (_, i) => (i % 2 === 0 ? [[spacing * i, 0], [spacing * i, length]] : [[spacing * i, length], [spacing * i, 0]]));

describe('pass spacing', () => {
  test.each([0, 20, 63, 90])('ten passes 18.3 m apart, turned by %d°', (degrees) => {
    const random = createRandom(5);
    const lanes = backAndForth(10, 18.3).map((lane) => turned(lane, (degrees * Math.PI) / 180));
    const { track, spans } = trackAlong(lanes, 2, () => 0.03 * random.normal());
    const spacings = passSpacings(track, spans);
    expect(spacings.map(({ passes }) => passes)).toEqual(Array.from({ length: 9 }, (_, i) => [i, i + 1]));
    for (const each of spacings) {
      expect(each.spacing).toBeCloseTo(18.3, 1);
      expect(each.spread).toBeLessThan(0.08);
      expect(each.opposite).toBe(true);
      expect(each.length).toBeGreaterThan(285);
    }
    expect(spacings.map(({ side }) => side)).toEqual(Array.from({ length: 9 }, (_, i) => (i % 2 === 0 ? 'right' : 'left')));
  });

  test('openers 0.9 m off the antenna: gaps alternate by 1.8 m either way (scenarios.md V9)', () => {
    const { track, spans } = trackAlong(backAndForth(6, 18.288));
    const spacings = passSpacings(openerPath(track, { aft: 0, right: 0.9 }), spans).map(({ spacing }) => spacing - 18.288);
    expect(spacings.map((each) => Math.round(each * 100) / 100)).toEqual([-1.8, 1.8, -1.8, 1.8, -1.8]);
  });

  test('a headland lap across the ends is no neighbour', () => {
    const { track, spans } = trackAlong([...backAndForth(4, 18), [[-9, -9], [70, -9]]]);
    expect(passSpacings(track, spans)).toHaveLength(3);
  });

  test('contour passes: the distance square to them', () => {
    const wave = (i: number): Corner[] => Array.from({ length: 101 }, (_, k) => [18 * i * Math.sqrt(1 + 0.04) + 0.2 * k * 3, k * 3]);
    const { track, spans } = trackAlong([wave(0), wave(1)], 3);
    expect(passSpacings(track, spans)[0]?.spacing).toBeCloseTo(18, 2);
  });
});

describe('area by distance × width', () => {
  const lanes = backAndForth(5, 17.5, 400);
  const { path, spans } = pathAlong(lanes);
  const sections = [{ id: '1', left: -9, right: 0, on: spans }, { id: '2', left: 0, right: 9, on: spans.slice(0, 4) }];

  test('by position: the sections weighted by how far they ran', () => {
    const { area, distance, unknown } = areaByPosition(path, sections);
    expect(area).toBeCloseTo(9 * 400 * 5 + 9 * 400 * 4, 1);
    expect(distance).toBeCloseTo(2000, 1);
    expect(unknown).toBeCloseTo(0, 6);
  });

  test('by speed: half seconds at the ends count half, an unknown second adds nothing and is told', () => {
    const speed = Float64Array.from({ length: 100 }, (_, k) => (k === 50 ? NaN : 2));
    const { area, distance, unknown } = areaBySpeed(speed, [{ id: '', left: -5, right: 5, on: [{ start: 10.5, end: 60.5 }] }]);
    expect(distance).toBeCloseTo(98, 6);
    expect(area).toBeCloseTo(980, 6);
    expect(unknown).toBeCloseTo(1, 6);
  });

  test('distance × width counts the overlap that the union does not', () => {
    const whole = [{ id: '', left: -9, right: 9, on: spans }];
    const cover = coverageAlong(lanes, 18);
    expect(areaByPosition(path, whole).area - cover.area).toBeCloseTo(4 * 0.5 * 400, -1);
    expect(cover.applied / areaByPosition(path, whole).area).toBeCloseTo(1, 3);
  });
});
