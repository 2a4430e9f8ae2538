import { describe, expect, test } from 'vitest';
import { createRandom } from '../../src/series/random.ts';
import { coverageAlong, turned, type Corner } from './lanes.ts';

const HA = 1e4;

describe('two passes of 18 m × 1000 m, 17.5 m apart (checks.md section 7)', () => {
  const lanes: Corner[][] = [[[0, 0], [0, 1000]], [[17.5, 1000], [17.5, 0]]];

  test.each([0, 5, 17, 45, 86, 90, 133])('union 3.55 ha, overlap 0.05 ha, whatever the direction: %d°', (degrees) => {
    const cover = coverageAlong(lanes.map((lane) => turned(lane, (degrees * Math.PI) / 180)), 18);
    expect(Math.abs(cover.area / HA - 3.55)).toBeLessThan(0.0005);
    expect(Math.abs(cover.overlap.total / HA - 0.05)).toBeLessThan(0.0002);
    expect(Math.abs((100 * cover.overlap.total) / cover.applied - 1.389)).toBeLessThan(0.005);
    expect(cover.overlap.between).toBeCloseTo(cover.overlap.total, 6);
    expect(cover.missed.total).toBe(0);
  });

  test('the overlap is one patch, 1000 m by 0.5 m', () => {
    const { patches } = coverageAlong(lanes, 18);
    expect(patches).toHaveLength(1);
    expect(patches[0]?.kind).toBe('overlap');
    expect(patches[0]?.area).toBeGreaterThan(490);
    expect(patches[0]?.area).toBeLessThan(505);
    expect(patches[0]?.outline.length).toBeLessThan(10);
  });
});

describe('bare strips', () => {
  test('passes 18.4 m apart miss 0.04 ha per km', () => {
    const cover = coverageAlong([[[0, 0], [0, 1000]], [[18.4, 1000], [18.4, 0]]], 18);
    expect(Math.abs(cover.missed.total - 400)).toBeLessThan(3);
    expect(cover.missed.between).toBe(cover.missed.total);
    expect(cover.overlap.total).toBe(0);
    expect(cover.patches.map(({ kind }) => kind)).toEqual(['missed']);
  });

  test('land a whole width wide is not missed: it may still be sown', () => {
    expect(coverageAlong([[[0, 0], [0, 1000]], [[36, 1000], [36, 0]]], 18).missed.total).toBe(0);
  });

  test('the stairs of passes against a slanting boundary are not missed', () => {
    const lanes = Array.from({ length: 8 }, (_, i): Corner[] => [[18 * i, 0], [18 * i, 300 + 10 * i]]);
    const cover = coverageAlong(lanes, 18);
    expect(cover.missed.total).toBeLessThan(2);
    expect(cover.overlap.total).toBeLessThan(2);
  });

  test('a pass that starts late leaves its end bare before the headland', () => {
    const lanes = [0, 1, 2, 3, 4].map((i): Corner[] => [[18 * i, i === 2 ? 14 : 9], [18 * i, 400]]);
    const cover = coverageAlong([...lanes, [[-9, 0], [81, 0]]], 18);
    expect(Math.abs(cover.missed.ends - 5 * 18)).toBeLessThan(2);
    expect(cover.missed.between).toBeLessThan(2);
  });
});

describe('overlap at pass ends', () => {
  test('passes that run 3 m into a headland lap', () => {
    const lanes = [0, 1, 2, 3].map((i): Corner[] => [[18 * i, 6], [18 * i, 400]]);
    const cover = coverageAlong([...lanes, [[-9, 0], [63, 0]]], 18);
    expect(Math.abs(cover.overlap.ends - 4 * 18 * 3)).toBeLessThan(3);
    expect(cover.overlap.between).toBeLessThan(1);
  });

  test('a square end against a boundary at 30° leaves w²·tan α / 2 (trade.md d.2: 97 m² for 18.3 m)', () => {
    /* A lap along the boundary first, then a pass that stops where its middle meets the lap's edge: one half is a wedge of overlap, the other a bare wedge. */
    const w = 18.288;
    const alpha = Math.PI / 6;
    const direction: Corner = [Math.cos(alpha), Math.sin(alpha)];
    const offset = w / 2 / Math.cos(alpha);
    const lap: Corner[] = [[-150 * direction[0], -150 * direction[1] + offset], [150 * direction[0], 150 * direction[1] + offset]];
    const cover = coverageAlong([lap, [[0, -300], [0, 0]]], w);
    const wedge = ((w / 2) ** 2 * Math.tan(alpha)) / 2;
    expect(Math.abs(cover.overlap.ends - wedge)).toBeLessThan(0.5);
    /* Stopping where the last corner clears the lap: the whole triangle is overlap. */
    const full = coverageAlong([lap, [[0, -300], [0, (w / 2) * Math.tan(alpha)]]], w);
    expect(Math.abs(full.overlap.ends - (w * w * Math.tan(alpha)) / 2)).toBeLessThan(1);
    expect((w * w * Math.tan(alpha)) / 2).toBeCloseTo(97, 0);
  });
});

describe('what is not overlap', () => {
  test('a curve of 60 m radius, on all the way round three quarters', () => {
    const arc = Array.from({ length: 136 }, (_, i): Corner => [60 * Math.cos(i / 29), 60 * Math.sin(i / 29)]);
    const cover = coverageAlong([arc], 18);
    const angle = 135 / 29;
    expect(Math.abs(cover.area / ((angle * (69 ** 2 - 51 ** 2)) / 2) - 1)).toBeLessThan(0.003);
    expect(cover.overlap.total).toBeLessThan(1);
  });

  test('position noise of 2 cm over twenty neighbouring passes: shares of a per mille', () => {
    const random = createRandom(3);
    const lanes = Array.from({ length: 20 }, (_, i): Corner[] => (i % 2 === 0 ? [[18 * i, 0], [18 * i, 400]] : [[18 * i, 400], [18 * i, 0]]));
    const cover = coverageAlong(lanes, 18, { noise: () => 0.02 * random.normal() });
    expect(Math.abs(cover.area / (20 * 18 * 400) - 1)).toBeLessThan(0.001);
    expect(cover.overlap.total / cover.area).toBeLessThan(0.002);
    expect(cover.missed.total / cover.area).toBeLessThan(0.002);
  });
});
