import { describe, expect, test } from 'vitest';
import { emptySetup } from '../../shared/setup.ts';
import { createEpisodes } from '../../src/episodes/create-episodes.ts';
import { createTimeline } from '../../src/episodes/create-timeline.ts';
import type { DayPlan } from '../support/world/plan.ts';
import { fillsOf } from '../support/world/plan.ts';
import { plans, scenario } from '../support/world/scenario.ts';

const TANKS = ['1', '2', '3', '4'];
const WIDTH = 18.288;

function planOf(id: string): DayPlan {
  const plan = plans.find((each) => each.id === id);
  if (plan === undefined) throw new Error(`no day ${id}`);
  return plan;
}

/* Hills, a catch test with a test speed left on, a log with a hole. */
describe.each(['C1', 'C7', 'D-gap'])('synthetic day %s', (id) => {
  const world = scenario(id).build(1);
  const timeline = createTimeline(world);
  const episodes = createEpisodes(world, emptySetup, timeline);
  const trueFills = fillsOf(planOf(id));

  test('every load is found, and nothing else', () => {
    const found = TANKS.flatMap((tank) => episodes.fills(tank)).toSorted((a, b) => a.start - b.start);
    expect(found.map(({ tank }) => tank)).toEqual(trueFills.toSorted((a, b) => a.start - b.start).map(({ tank }) => String(tank)));
    for (const fill of found) {
      const truth = trueFills.find(({ tank, start }) => String(tank) === fill.tank && Math.abs(start - fill.start) < 60);
      expect(truth, `${fill.tank} at ${fill.start}`).toBeDefined();
      expect(Math.abs(fill.end - (truth?.end ?? NaN))).toBeLessThan(60);
      expect(Math.abs(fill.after - fill.before - (truth?.mass ?? NaN))).toBeLessThan(3 * fill.uncertainty);
    }
  });

  test('working time gives the true hectares', () => {
    const speed = timeline.mean('gnss.speed') ?? new Float64Array();
    let metres = 0;
    for (const { start, end } of episodes.working) for (let k = start; k < end; k++) metres += speed[k] ?? 0;
    const share = (metres * WIDTH) / 1e4 / (world.truth.exact['areaHa'] ?? NaN);
    /* A hole in the log hides five minutes. */
    expect(share).toBeGreaterThan(id === 'D-gap' ? 0.97 : 0.997);
    expect(share).toBeLessThan(1.004);
  });

  test('passes are the lanes driven', () => {
    const lengths = episodes.passes.map(({ length }) => length);
    expect(Math.max(...lengths)).toBeLessThan(800);
    expect(lengths.filter((length) => length > 700).length).toBeGreaterThan(0.8 * lengths.length);
    expect(episodes.turning.length).toBeGreaterThan(episodes.passes.length - 5);
    const steady = episodes.steady.reduce((sum, { start, end }) => sum + end - start, 0);
    expect(steady).toBeGreaterThan(0.9 * lengths.length * 300);
  });

  test('quiet readings lie in stops, off the loads', () => {
    for (const reading of TANKS.flatMap((tank) => episodes.quiet(tank))) {
      expect(episodes.parked.some(({ start, end }) => start <= reading.start && reading.end <= end)).toBe(true);
      expect(reading.uncertainty).toBeGreaterThan(1);
    }
    for (const tank of TANKS) {
      for (const fill of episodes.fills(tank)) {
        expect(episodes.quiet(tank).every(({ start, end }) => end <= fill.start || start >= fill.end)).toBe(true);
      }
    }
  });
});

test('S02: the reading drops by 350 kg between two quiet readings at 12:18:20', () => {
  const world = scenario('S02').build(1);
  const { quiet } = createEpisodes(world, emptySetup, createTimeline(world));
  const at = (12 * 60 + 18) * 60 + 20 - (world.dayStart % 86_400);
  const before = quiet('2').findLast(({ end }) => end <= at + 1);
  const after = quiet('2').find(({ start }) => start >= at);
  expect(before === undefined || Math.abs(before.end - at) < 10).toBe(true);
  const uncertainty = Math.hypot(before?.uncertainty ?? NaN, after?.uncertainty ?? NaN);
  expect(uncertainty).toBeLessThan(20);
  expect(Math.abs((after?.mass ?? NaN) - (before?.mass ?? NaN) + 350)).toBeLessThan(3 * uncertainty);
});
