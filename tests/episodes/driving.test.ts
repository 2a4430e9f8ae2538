import { describe, expect, test } from 'vitest';
import type { Span } from '../../shared/span.ts';
import { drive, episodesOf, sampled, type Leg } from './hand-made.ts';

const V = 8 / 3.6;
const HEADLAND_TURN: Leg = { seconds: 25, speed: 1.7, yaw: Math.PI / 25 };
const PASS: Leg = { seconds: 200, speed: V, lowered: true };

const near = (span: Span | undefined, start: number, end: number, within = 4): void => {
  expect(span).toBeDefined();
  expect(Math.abs((span?.start ?? NaN) - start), `start ${span?.start}`).toBeLessThanOrEqual(within);
  expect(Math.abs((span?.end ?? NaN) - end), `end ${span?.end}`).toBeLessThanOrEqual(within);
};

describe('passes and turns', () => {
  const day = drive([{ seconds: 60, speed: 0 }, PASS, HEADLAND_TURN, PASS, { seconds: 60, speed: 0 }]);
  const episodes = episodesOf(day.channels, day.seconds);

  test('two passes with a turn between', () => {
    expect(episodes.passes).toHaveLength(2);
    near(episodes.passes[0], 60, 260);
    near(episodes.passes[1], 285, 485);
    expect(episodes.passes[0]?.length).toBeGreaterThan(0.98 * 200 * V);
    expect(episodes.passes[0]?.length).toBeLessThan(1.01 * 200 * V);
    expect(Math.cos(episodes.passes[0]?.course ?? NaN)).toBeGreaterThan(0.999);
    expect(Math.cos(episodes.passes[1]?.course ?? NaN)).toBeLessThan(-0.999);
  });

  test('the turn is one turn', () => {
    expect(episodes.turning).toHaveLength(1);
    near(episodes.turning[0], 260, 285);
  });

  test('parked before and after, not between', () => {
    expect(episodes.parked).toHaveLength(2);
    near(episodes.parked[0], 0, 60);
    near(episodes.parked[1], 485, 545);
  });

  test('steady on the passes, not in the turn', () => {
    expect(episodes.steady.length).toBeGreaterThan(0);
    const seconds = episodes.steady.reduce((sum, { start, end }) => sum + end - start, 0);
    expect(seconds).toBeGreaterThan(360);
    expect(episodes.steady.every(({ start, end }) => end < 263 || start > 282)).toBe(true);
  });
});

describe('what splits a pass and what does not', () => {
  test('a stop of 30 s splits, one of 5 s does not', () => {
    const long = drive([PASS, { seconds: 30, speed: 0, lowered: true }, PASS]);
    expect(episodesOf(long.channels, long.seconds).passes).toHaveLength(2);
    const short = drive([PASS, { seconds: 5, speed: 0, lowered: true }, PASS]);
    expect(episodesOf(short.channels, short.seconds).passes).toHaveLength(1);
  });

  test('a lift of 8 s splits', () => {
    const day = drive([PASS, { seconds: 8, speed: V }, PASS]);
    expect(episodesOf(day.channels, day.seconds).passes).toHaveLength(2);
  });

  test('a contour pass stays whole: snaking on circles of 100 m', () => {
    const bend = V / 100;
    const snake = Array.from({ length: 8 }, (_, i): Leg => ({ seconds: 30, speed: V, yaw: i % 2 === 0 ? bend : -bend, lowered: true }));
    const day = drive(snake);
    const { passes, turning } = episodesOf(day.channels, day.seconds);
    expect(turning).toEqual([]);
    expect(passes).toHaveLength(1);
  });

  test('a headland lap is split at its corners', () => {
    const corner: Leg = { seconds: 12, speed: 1.7, yaw: Math.PI / 2 / 12, lowered: true };
    const day = drive([PASS, corner, PASS, corner, PASS, corner, PASS]);
    const { passes } = episodesOf(day.channels, day.seconds);
    expect(passes).toHaveLength(4);
    expect(passes.map(({ course }) => Math.round((course * 180) / Math.PI / 90) % 4)).toEqual([0, 1, 2, 3]);
  });

  test('a bit of 20 s is no pass', () => {
    const day = drive([{ seconds: 100, speed: V }, { seconds: 20, speed: V, lowered: true }, { seconds: 100, speed: V }]);
    const { passes, working } = episodesOf(day.channels, day.seconds);
    expect(passes).toEqual([]);
    expect(working).toHaveLength(1);
  });
});

describe('steady', () => {
  test('a road leg counts though lifted', () => {
    const day = drive([{ seconds: 300, speed: 3.5 }]);
    const { steady, working } = episodesOf(day.channels, day.seconds);
    expect(working).toEqual([]);
    expect(steady.reduce((sum, { start, end }) => sum + end - start, 0)).toBeGreaterThan(280);
  });

  test('a full circle of 400 m does not: a wheel 1.5 m aside runs 0.4 % further', () => {
    const day = drive([{ seconds: 600, speed: V, yaw: V / 400, lowered: true }]);
    expect(episodesOf(day.channels, day.seconds).steady).toEqual([]);
  });

  test('nor does speeding up by 0.2 m/s², nor a poor fix', () => {
    const ramps = drive(Array.from({ length: 200 }, (_, i) => ({ seconds: 1, speed: 1.5 + 0.2 * (i % 10) })));
    expect(episodesOf(ramps.channels, ramps.seconds).steady).toEqual([]);
    const day = drive([{ seconds: 300, speed: V }]);
    const poor = [...day.channels, sampled('gnss.hdop', '1', 300, 1, () => 6)];
    expect(episodesOf(poor, 300).steady).toEqual([]);
    const unfixed = [...day.channels, sampled('gnss.fix', '1', 300, 1, () => 0)];
    expect(episodesOf(unfixed, 300).steady).toEqual([]);
  });
});
