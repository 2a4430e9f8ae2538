import { describe, expect, test } from 'vitest';
import type { Channel } from '../../shared/channel.ts';
import { channelOf, drive, episodesOf, ramp, sampled, scaleChannel, withGap, type Drive, type ScaleLife } from './hand-made.ts';

const V = 8 / 3.6;
const SEEDS = [1, 2, 3, 4, 5, 6];

/** Twenty minutes parked. */
const standing = drive([{ seconds: 1200, speed: 0 }]);
/** Half an hour of seeding without a stop. */
const seeding = drive([{ seconds: 1800, speed: V, lowered: true }]);

const calm = { noise: () => 4, wander: 6 };
const rough = { noise: () => 20, wander: 15 };
const use = (t: number): number => -0.5 * t;

function fillsOf(day: Drive, life: ScaleLife, seed: number, change: (channel: Channel) => Channel = (channel) => channel) {
  return episodesOf([...day.channels, change(scaleChannel('1', day.seconds, life, seed))], day.seconds).fills('1');
}

describe('what is not a fill', () => {
  test.each(SEEDS)('standing, nothing loaded, seed %i', (seed) => {
    expect(fillsOf(standing, { load: () => 3000, ...calm }, seed)).toEqual([]);
  });

  test.each(SEEDS)('a restless scale: sd 5 kg, wander 35 kg, seed %i', (seed) => {
    expect(fillsOf(standing, { load: () => 3000, noise: () => 5, wander: 35 }, seed)).toEqual([]);
  });

  test.each(SEEDS)('seeding on rolling ground: ±100 kg every three minutes, sd 30 kg, seed %i', (seed) => {
    const hills = (t: number): number => 100 * Math.sin((2 * Math.PI * t) / 177);
    expect(fillsOf(seeding, { load: (t) => 6000 + use(t), error: hills, noise: () => 30, wander: 15 }, seed)).toEqual([]);
  });

  test.each(SEEDS)('a long climb that tilts the load by 170 kg and stays so, seed %i', (seed) => {
    expect(fillsOf(seeding, { load: (t) => 6000 + use(t), error: (t) => 170 * ramp(600, 630)(t), ...rough }, seed)).toEqual([]);
  });

  test.each(SEEDS)('a bump of 400 kg for 4 s, seed %i', (seed) => {
    expect(fillsOf(seeding, { load: (t) => 5000 + use(t), error: (t) => (t > 700 && t < 704 ? 400 : 0), ...rough }, seed)).toEqual([]);
    expect(fillsOf(standing, { load: () => 3000, error: (t) => (t > 700 && t < 704 ? 400 : 0), ...calm }, seed)).toEqual([]);
  });

  test.each(SEEDS)('a scale set to zero: −150 to 0 and 350 to 0 kg within 2 s, seed %i', (seed) => {
    for (const from of [-150, 350]) {
      expect(fillsOf(standing, { load: () => 0, error: (t) => from * (1 - ramp(600, 602)(t)), ...calm }, seed)).toEqual([]);
    }
  });

  test.each(SEEDS)('a person of 90 kg on the frame for five minutes, seed %i', (seed) => {
    expect(fillsOf(standing, { load: () => 3000, error: (t) => (t > 500 && t < 800 ? 90 : 0), ...calm }, seed)).toEqual([]);
  });

  test.each(SEEDS)('neighbour filled, frame moved by 40 kg, seed %i', (seed) => {
    expect(fillsOf(standing, { load: () => 3000, error: (t) => 40 * ramp(400, 500)(t), ...calm }, seed)).toEqual([]);
  });

  test.each(SEEDS)('drift of 60 kg in twenty minutes, seed %i', (seed) => {
    expect(fillsOf(standing, { load: () => 3000, error: (t) => 60 * (t / 1200), ...calm }, seed)).toEqual([]);
  });

  test.each(SEEDS)('a load let out and the empty tank left so, seed %i', (seed) => {
    expect(fillsOf(standing, { load: (t) => 2000 * (1 - ramp(300, 600)(t)), ...calm }, seed)).toEqual([]);
  });
});

describe('a fill', () => {
  test.each(SEEDS)('2,800 kg in six minutes, seed %i', (seed) => {
    const fills = fillsOf(standing, { load: (t) => 350 + 2800 * ramp(400, 760)(t), ...calm }, seed);
    expect(fills).toHaveLength(1);
    const [fill] = fills;
    expectNear(fill?.start, 400, 8);
    expectNear(fill?.end, 760, 8);
    expectNear((fill?.after ?? NaN) - (fill?.before ?? NaN), 2800, 3 * (fill?.uncertainty ?? 0));
    expect(fill?.uncertainty).toBeGreaterThan(2);
    expect(fill?.uncertainty).toBeLessThan(20);
    expect(fill?.moving).toBeUndefined();
  });

  test.each([[100, 600], [100, 120], [500, 60], [2000, 60]])('%d kg/min for %d s', (perMinute, seconds) => {
    const mass = (perMinute * seconds) / 60;
    const fills = fillsOf(standing, { load: (t) => 500 + mass * ramp(300, 300 + seconds)(t), ...calm }, 1);
    expect(fills).toHaveLength(1);
    expectNear((fills[0]?.after ?? NaN) - (fills[0]?.before ?? NaN), mass, 3 * (fills[0]?.uncertainty ?? 0));
  });

  test('bags of 25 kg every 20 s are one fill', () => {
    const fills = fillsOf(standing, { load: (t) => 200 + 25 * Math.min(16, Math.max(0, Math.floor((t - 300) / 20))), ...calm }, 2);
    expect(fills).toHaveLength(1);
    expectNear((fills[0]?.after ?? NaN) - (fills[0]?.before ?? NaN), 400, 3 * (fills[0]?.uncertainty ?? 0));
  });

  test('an auger that pauses for a minute makes one fill, two loads ten minutes apart make two', () => {
    const paused = fillsOf(standing, { load: (t) => 500 + 1000 * ramp(300, 400)(t) + 1000 * ramp(460, 560)(t), ...calm }, 1);
    expect(paused).toHaveLength(1);
    const two = fillsOf(standing, { load: (t) => 500 + 1000 * ramp(200, 300)(t) + 1000 * ramp(900, 1000)(t), ...calm }, 1);
    expect(two).toHaveLength(2);
  });

  test('zeroed with 350 kg in, filled ten minutes later: the zero does not count', () => {
    const life = { load: (t: number) => 350 + 2800 * ramp(700, 1000)(t), error: (t: number) => -350 * ramp(100, 102)(t), ...calm };
    const fills = fillsOf(standing, life, 1);
    expect(fills).toHaveLength(1);
    expectNear((fills[0]?.after ?? NaN) - (fills[0]?.before ?? NaN), 2800, 3 * (fills[0]?.uncertainty ?? 0));
  });

  test.each(SEEDS)('topped up while seeding, 15 kg/s for a minute, marked as such, seed %i', (seed) => {
    const fills = fillsOf(seeding, { load: (t) => 2000 + use(t) + 900 * ramp(800, 860)(t), ...rough }, seed);
    expect(fills).toHaveLength(1);
    expect(fills[0]?.moving).toBe(true);
    expectNear((fills[0]?.after ?? NaN) - (fills[0]?.before ?? NaN), 870, 3 * (fills[0]?.uncertainty ?? 0));
  });

  test('loaded while the recorder was off', () => {
    const fills = fillsOf(standing, { load: (t) => (t < 600 ? 500 : 3500), ...calm }, 1, (channel) => withGap(channel, 400, 800));
    expect(fills).toHaveLength(1);
    expectNear(fills[0]?.start, 400, 2);
    expectNear(fills[0]?.end, 800, 2);
    expectNear((fills[0]?.after ?? NaN) - (fills[0]?.before ?? NaN), 3000, 3 * (fills[0]?.uncertainty ?? 0));
  });

  test('starts as the cart stops and ends as it leaves', () => {
    const day = drive([{ seconds: 600, speed: V, lowered: true }, { seconds: 300, speed: 0 }, { seconds: 600, speed: V, lowered: true }]);
    const load = (t: number): number => 1500 - 0.5 * (Math.min(t, 600) + Math.max(0, t - 900)) + 3000 * ramp(603, 897)(t);
    const fills = fillsOf(day, { load, noise: (t) => (t > 600 && t < 900 ? 4 : 12), wander: 6 }, 1);
    expect(fills).toHaveLength(1);
    expectNear((fills[0]?.after ?? NaN) - (fills[0]?.before ?? NaN), 3000, 3 * (fills[0]?.uncertainty ?? 0));
  });
});

test('the stated uncertainty is honest: errors of many fills in units of it have a spread near 1', () => {
  const errors = Array.from({ length: 60 }, (_, seed) => {
    const [fill] = fillsOf(standing, { load: (t) => 350 + 1500 * ramp(400, 600)(t), ...calm }, 100 + seed);
    return ((fill?.after ?? NaN) - (fill?.before ?? NaN) - 1500) / (fill?.uncertainty ?? NaN);
  });
  const rms = Math.sqrt(errors.reduce((sum, each) => sum + each * each, 0) / errors.length);
  expect(rms).toBeGreaterThan(0.5);
  expect(rms).toBeLessThan(1.2);
});

test('a tank with load cells only is their sum', () => {
  const cell = (n: number, share: number): Channel => sampled(`tank.1.cell.${n}`, 'kg', 1200, 1, (t) => share * (500 + 2000 * ramp(300, 500)(t)));
  const fills = episodesOf([...standing.channels, cell(1, 0.2), cell(2, 0.3), cell(3, 0.5)], 1200).fills('1');
  expect(fills).toHaveLength(1);
  expectNear((fills[0]?.after ?? NaN) - (fills[0]?.before ?? NaN), 2000, 1);
});

test('a tank without a scale has no fills and no readings', () => {
  const episodes = episodesOf([channelOf('gnss.speed', [[0, 0], [1, 0]], 'm/s')], 100);
  expect(episodes.fills('1')).toEqual([]);
  expect(episodes.quiet('1')).toEqual([]);
});

function expectNear(value: number | undefined, expected: number, within: number): void {
  expect(Math.abs((value ?? NaN) - expected), `${value} instead of ${expected} ± ${within}`).toBeLessThanOrEqual(within);
}
