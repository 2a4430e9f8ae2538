import { describe, expect, test } from 'vitest';
import { createTimeline } from '../../src/episodes/create-timeline.ts';
import { channelOf, sampled, withGap } from './hand-made.ts';

const timelineOf = (channels: Parameters<typeof createTimeline>[0]['channels'], duration = 100) => createTimeline({ channels, duration });

describe('mean', () => {
  test('of the samples inside each second; missing values do not count', () => {
    const { mean } = timelineOf([channelOf('x', [[0, 1], [0.5, 3], [1.2, NaN], [1.8, 7], [2.5, 9]])], 4);
    expect([...(mean('x') ?? [])]).toEqual([2, 7, 9, NaN]);
  });

  test('a slow channel gives each second the nearest sample within half an interval', () => {
    const { mean } = timelineOf([sampled('oil.temperature', 'K', 100, 10, (t) => t)]);
    const cells = mean('oil.temperature') ?? [];
    expect(cells[0]).toBe(5);
    expect(cells[8]).toBe(5);
    expect(cells[12]).toBe(15);
    expect(cells[99]).toBe(95);
  });

  test('jitter at 1 Hz leaves no holes, a lost sample does', () => {
    const jitter = [0, 0.05, -0.05, 0.02];
    const steady = sampled('x', '1', 100, 1, (t) => t);
    const shaky = { ...steady, time: steady.time.map((t, i) => Math.floor(t) + (i % 2 === 0 ? 0.97 : 0.02) + (jitter[i % 4] ?? 0) / 2) };
    expect([...(timelineOf([shaky]).mean('x') ?? [])].filter(Number.isNaN)).toEqual([]);
    const cells = timelineOf([withGap(steady, 50, 51)]).mean('x') ?? [];
    expect([...cells.keys()].filter((k) => Number.isNaN(cells[k]))).toEqual([50]);
  });

  test('a gap is not bridged', () => {
    const cells = timelineOf([withGap(sampled('x', '1', 100, 5, (t) => t), 30, 70)]).mean('x') ?? [];
    expect(cells[30]).toBe(27.5);
    expect(cells[31]).toBeNaN();
    expect(cells[68]).toBeNaN();
    expect(cells[70]).toBe(72.5);
  });

  test('a course through north stays near north, a longitude through 180° near 180°', () => {
    const north = channelOf('gnss.course', [[0, 6.2], [0.5, 0.1], [1, 0.1], [1.5, 6.2]], 'rad');
    const [first = NaN, second = NaN] = timelineOf([north], 2).mean('gnss.course') ?? [];
    expect(Math.cos(first)).toBeGreaterThan(0.99);
    expect(Math.cos(second)).toBeGreaterThan(0.99);
    expect(first).toBeGreaterThanOrEqual(0);
    const [longitude = NaN] = timelineOf([channelOf('gnss.lon', [[0, 179.9999], [0.5, -179.9999]], 'deg')], 1).mean('gnss.lon') ?? [];
    expect(Math.abs(longitude)).toBeGreaterThan(179.999);
  });

  test('of two channels of one name the first with a value counts, and views are made once', () => {
    const timeline = timelineOf([channelOf('x', [[0, NaN]]), channelOf('x', [[0, 1], [1, 1]]), channelOf('x', [[0, 2], [1, 2]])], 2);
    expect([...(timeline.mean('x') ?? [])]).toEqual([1, 1]);
    expect(timeline.mean('x')).toBe(timeline.mean('x'));
    expect(timeline.mean('y')).toBeUndefined();
    expect(timeline.held('y')).toBeUndefined();
    expect(timeline.counter('y')).toBeUndefined();
  });
});

describe('held', () => {
  const busy = sampled('fan.1.speed', 'rpm', 4000, 1, () => 3600);

  test('a state sent on change holds for an hour while its log goes on', () => {
    const state = channelOf('section.1.on', [[10, 1], [20, 0], [25, 1], [30, 0], [32, 1], [3900, 0]]);
    const cells = timelineOf([busy, state], 4000).held('section.1.on') ?? [];
    expect(cells[5]).toBeNaN();
    expect(cells[12]).toBe(1);
    expect(cells[3800]).toBe(1);
    expect(cells[3950]).toBe(0);
  });

  test('but is unknown from a silence of its log until it is sent again', () => {
    const state = channelOf('section.1.on', [[10, 1], [20, 0], [25, 1], [3000, 0]]);
    const cells = timelineOf([withGap(busy, 1000, 1060), state], 4000).held('section.1.on') ?? [];
    expect(cells[998]).toBe(1);
    expect(cells[1030]).toBeNaN();
    expect(cells[2000]).toBeNaN();
    expect(cells[3100]).toBe(0);
  });

  test('the other log’s silence does not matter', () => {
    const state = channelOf('section.1.on', [[10, 1], [20, 0], [25, 1], [3000, 0]], '1', 'cart.csv');
    const cart = sampled('tank.1.mass', 'kg', 4000, 1, () => 1, 'cart.csv');
    const cells = timelineOf([withGap(busy, 1000, 1060), cart, state], 4000).held('section.1.on') ?? [];
    expect(cells[2000]).toBe(1);
  });

  test('a state sampled at a steady pace ends with its own gap', () => {
    const state = withGap(sampled('implement.working', '1', 4000, 1, () => 1), 1000, 1100);
    const cells = timelineOf([busy, state], 4000).held('implement.working') ?? [];
    expect(cells[1002]).toBe(1);
    expect(cells[1050]).toBeNaN();
    expect(cells[1101]).toBe(1);
  });

  test('no longer than asked', () => {
    const state = channelOf('section.1.on', [[10, 1], [20, 0], [25, 1], [3000, 0]]);
    const cells = timelineOf([busy, state], 4000).held('section.1.on', 60) ?? [];
    expect(cells[80]).toBe(1);
    expect(cells[100]).toBeNaN();
  });

  test('a state that was sent as not available is not known', () => {
    const state = channelOf('section.1.on', [[10, 1], [20, NaN], [125, 1], [3000, 0]]);
    const cells = timelineOf([busy, state], 4000).held('section.1.on') ?? [];
    expect(cells[15]).toBe(1);
    expect(cells[50]).toBeNaN();
    expect(cells[130]).toBe(1);
  });
});

describe('counter', () => {
  test('interpolated at whole seconds, one more value than seconds', () => {
    const cells = timelineOf([sampled('wheel.distance', 'm', 100, 1, (t) => 2 * t)]).counter('wheel.distance') ?? [];
    expect(cells).toHaveLength(101);
    expect(cells[10]).toBeCloseTo(20);
    expect(cells[0]).toBeNaN();
  });

  test('a 16-bit wrap and a reset are undone, a gap is not bridged', () => {
    const wrapping = sampled('wheel.pulses', 'count', 100, 1, (t) => (65_000 + Math.floor(44 * t)) % 65_536);
    const pulses = timelineOf([wrapping]).counter('wheel.pulses') ?? [];
    expect((pulses[99] ?? NaN) - (pulses[1] ?? NaN)).toBeCloseTo(98 * 44, -1);
    const reset = sampled('wheel.pulses', 'count', 100, 1, (t) => Math.floor(44 * (t < 50 ? t : t - 50)));
    const counts = timelineOf([reset]).counter('wheel.pulses') ?? [];
    expect(Math.abs((counts[99] ?? NaN) - (counts[1] ?? NaN) - 98 * 44)).toBeLessThan(50);
    const gone = timelineOf([withGap(sampled('wheel.pulses', 'count', 100, 1, (t) => 44 * t), 40, 60)]).counter('wheel.pulses') ?? [];
    expect(gone[50]).toBeNaN();
    expect((gone[70] ?? NaN) - (gone[30] ?? NaN)).toBeCloseTo(40 * 44);
  });
});

test('every sample is looked at a few times only, and a view asked for again costs nothing', () => {
  let reads = 0;
  const plain = sampled('run.1.count', '1/s', 3600, 1, (t) => (t * 7) % 97);
  const value = new Proxy(plain.value as Float64Array, {
    get(target, key) {
      if (typeof key === 'string' && /^\d+$/.test(key)) reads++;
      const found: unknown = Reflect.get(target, key, target);
      return typeof found === 'function' ? (found.bind(target) as unknown) : found;
    },
  });
  const timeline = timelineOf([{ ...plain, value }], 3600);
  timeline.mean('run.1.count');
  expect(reads).toBeGreaterThanOrEqual(3600);
  /* Linear in the samples: a day of 36,000 s × 110 channels is four million of them. */
  expect(reads).toBeLessThanOrEqual(4 * 3600);
  const first = reads;
  timeline.mean('run.1.count');
  expect(reads).toBe(first);
});
