import { describe, expect, test } from 'vitest';
import type { Channel } from '../../shared/channel.ts';
import type { Day, LogSummary } from '../../shared/day.ts';
import { assembleDay } from '../../src/reading/day-assembly.ts';
import { scenario } from '../support/world/scenario.ts';
import { drivingWorld, type DrivingWorld } from './driving-world.ts';
import { readingOf } from './world-readings.ts';

const worlds = new Map<string, DrivingWorld>();
function world(id: string, seed = 1): DrivingWorld {
  const key = `${id} ${seed}`;
  const made = worlds.get(key) ?? drivingWorld(id, seed);
  worlds.set(key, made);
  return made;
}

const logOf = (day: Day, file: string): LogSummary => {
  const log = day.logs.find((candidate) => candidate.file === file);
  if (log === undefined) throw new Error(`no log ${file}`);
  return log;
};
const channelsOf = (day: Day, id: string): Channel[] => day.channels.filter((channel) => channel.id === id);
const notes = (day: Day): string => day.logs.flatMap((log) => log.notes).join('\n');
const monotone = (day: Day): boolean => day.channels.every(({ time }) => time.every((t, i) => i === 0 || t >= (time[i - 1] as number)));

/** Largest distance of a channel's times from the true ones, s; both in order. */
function error(day: Day, from: DrivingWorld, id: string): number {
  const truth = from.channels.find((channel) => channel.id === id)?.time ?? new Float64Array();
  const [found] = channelsOf(day, id);
  expect(found?.time.length).toBe(truth.length);
  return truth.reduce((most, t, i) => Math.max(most, Math.abs((found?.time[i] as number) + day.start - from.dayStart - t)), 0);
}

describe('clock alignment: quiet', () => {
  test.each(['C0', 'C1', 'C4', 'S01', 'S02', 'S04', 'S08', 'S09', 'S11', 'V4', 'V14', 'D-gap'])('%s: two logs on one clock stay exactly where they are', (id) => {
    const day = assembleDay([readingOf(world(id), 'tractor'), readingOf(world(id), 'cart')]);
    expect(day.logs.map(({ clockOffset }) => clockOffset)).toEqual([0, 0]);
    const cart = logOf(day, 'cart.csv');
    expect(cart.clock).toMatchObject({ from: 'speed', against: 'tractor.csv', restarts: [] });
    expect(Math.abs(cart.clock?.offset ?? 9)).toBeLessThan(0.25);
    expect(notes(day)).toBe('');
    expect(error(day, world(id), 'wheel.speed')).toBe(0);
  });

  test('logs of two different days are not fitted to each other: told, nothing guessed', () => {
    const day = assembleDay([readingOf(world('C1'), 'tractor'), readingOf(world('C4'), 'cart')]);
    expect(day.logs.map(({ clockOffset }) => clockOffset)).toEqual([0, 0]);
    expect(logOf(day, 'cart.csv').clock).toBeUndefined();
    expect(logOf(day, 'cart.csv').notes.join(' ')).toContain('could not be compared with that of tractor.csv');
  });

  test('nor two machines with the same plan of the day', () => {
    const day = assembleDay([readingOf(world('S01', 1), 'tractor'), readingOf(world('S01', 2), 'cart')]);
    expect(logOf(day, 'cart.csv')).toMatchObject({ clockOffset: 0 });
    expect(logOf(day, 'cart.csv').notes.join(' ')).toContain('could not be compared');
  });

  test('hourly files of both recorders stay where they are', () => {
    const hours = (log: 'cart' | 'tractor') => [0, 1, 2, 3, 4, 5, 6].map((hour) => readingOf(world('S01'), log, { file: `${log}-${hour}.csv`, records: (t) => Math.floor(t / 3600) === hour })).filter(({ channels }) => channels.some(({ time }) => time.length > 0));
    const day = assembleDay([...hours('cart'), ...hours('tractor')]);
    expect(day.logs.every(({ clockOffset }) => clockOffset === 0)).toBe(true);
    expect(error(day, world('S01'), 'wheel.speed')).toBe(0);
    expect(notes(day)).toBe('');
  });

  test('commands and the counts that follow them seconds later say nothing about clocks', () => {
    const whole = scenario('V14').build(1);
    const cart = readingOf(whole, 'cart', { channels: (id) => /^(run\.\d\.|meter|tank)/.test(id) });
    const tractor = readingOf(whole, 'tractor', { further: whole.channels.filter(({ id }) => id.startsWith('section.')) });
    const day = assembleDay([tractor, cart]);
    expect(logOf(day, 'cart.csv')).toMatchObject({ clockOffset: 0 });
    expect(logOf(day, 'cart.csv').clock).toBeUndefined();
  });

  test('a morning parked tells nothing', () => {
    const parked = (log: 'cart' | 'tractor') => readingOf(world('S01'), log, { records: (t) => t < 280 });
    const day = assembleDay([parked('tractor'), parked('cart')]);
    expect(logOf(day, 'cart.csv')).toMatchObject({ clockOffset: 0 });
  });
});

describe('clock alignment: loud', () => {
  test.each([1, 2, 3, 4])('S12, seed %i: zone, offset and drift within the issue’s bounds, times as logged kept', (seed) => {
    const truth = world('S12', seed);
    const day = assembleDay([readingOf(truth, 'tractor'), readingOf(truth, 'cart')]);
    const cart = logOf(day, 'cart.csv');
    expect(cart.clock?.zoneHours).toBe(-6);
    expect(Math.abs(cart.clockOffset - (6 * 3600 - 47))).toBeLessThan(0.5);
    expect(Math.abs((cart.clock?.driftPerHour ?? 9) + 1.8)).toBeLessThan(0.2);
    expect(cart.clock?.low).toBeLessThan(6 * 3600 - 47);
    expect(cart.clock?.high).toBeGreaterThan(6 * 3600 - 47);
    expect(cart.clock?.driftLow).toBeLessThan(-1.8);
    expect(cart.clock?.driftHigh).toBeGreaterThan(-1.8);
    expect(cart.start).toBeCloseTo(truth.dayStart - 6 * 3600 + 47, 3);
    expect(day.start).toBe(truth.dayStart);
    expect(logOf(day, 'tractor.csv').clockOffset).toBe(0);
    expect(error(day, truth, 'wheel.speed')).toBeLessThan(0.5);
    expect(day.gaps.map(({ file, span }) => [file, Math.round(span.start), Math.round(span.end)])).toEqual([['tractor.csv', 4510, 4530], ['tractor.csv', 9660, 9750], ['tractor.csv', 22800, 22845]]);
    expect(cart.notes.join(' ')).toMatch(/UTC−6, and is 4[67]\.\d s ahead .* gaining 1\.[78]\d s an hour/);
  });

  test('D-clock: 12 s behind', () => {
    const day = assembleDay([readingOf(world('D-clock'), 'tractor'), readingOf(world('D-clock'), 'cart')]);
    expect(Math.abs(logOf(day, 'cart.csv').clockOffset - 12)).toBeLessThan(0.3);
    expect(logOf(day, 'cart.csv').clock).not.toHaveProperty('zoneHours');
    expect(error(day, world('D-clock'), 'wheel.speed')).toBeLessThan(0.3);
  });

  test.each([[5.75 * 3600 + 30, 5.75], [-9.5 * 3600, -9.5], [2.5, undefined], [-200, undefined], [25 * 3600, undefined]])('a clock that shows %d s more', (ahead, zone) => {
    const truth = world('S11');
    const day = assembleDay([readingOf(truth, 'cart', { shows: (t) => truth.dayStart + t + ahead }), readingOf(truth, 'tractor')]);
    const cart = logOf(day, 'cart.csv');
    expect(Math.abs(cart.clockOffset + ahead)).toBeLessThan(0.3);
    expect(cart.clock?.zoneHours).toBe(zone);
    expect(error(day, truth, 'wheel.speed')).toBeLessThan(0.3);
  });

  test('a recorder that gains 6 s an hour', () => {
    const truth = world('S11');
    const day = assembleDay([readingOf(truth, 'cart', { shows: (t) => truth.dayStart + t + t / 600 }), readingOf(truth, 'tractor')]);
    expect(logOf(day, 'cart.csv').clock?.driftPerHour).toBeCloseTo(-6, 1);
    expect(error(day, truth, 'wheel.speed')).toBeLessThan(0.4);
  });

  test('hourly files of the tractor under one file of the cart', () => {
    const truth = world('S12');
    const hours = [0, 1, 2, 3, 4, 5, 6, 7, 8].map((hour) => readingOf(truth, 'tractor', { file: `tractor-${hour}.csv`, records: (t) => Math.floor(t / 3600) === hour }));
    const day = assembleDay([readingOf(truth, 'cart'), ...hours]);
    expect(Math.abs(logOf(day, 'cart.csv').clockOffset - (6 * 3600 - 47))).toBeLessThan(0.5);
    expect(logOf(day, 'tractor-3.csv').clockOffset).toBe(0);
    expect(error(day, truth, 'wheel.speed')).toBeLessThan(0.5);
  });

  test('a cart log without wall clock is placed, and dated by that', () => {
    const truth = world('S11');
    const day = assembleDay([readingOf(truth, 'cart', { shows: (t) => t + 12.5 }), readingOf(truth, 'tractor')]);
    const cart = logOf(day, 'cart.csv');
    expect(cart.start).toBeNaN();
    expect(Math.abs(cart.clockOffset - (truth.dayStart - 12.5))).toBeLessThan(0.3);
    expect(error(day, truth, 'wheel.speed')).toBeLessThan(0.3);
    expect(cart.notes.join(' ')).toContain('its second 0 is');
  });
});

describe('clock alignment: clocks set meanwhile are named, and nothing is lost or sorted', () => {
  const silent = (t: number): boolean => t < 14_600 || t >= 15_000;
  test.each([['forward 5 min', 300], ['back an hour, as daylight saving ends', -3600], ['forward an hour, as daylight saving begins', 3600], ['back by 19.6 years, a GPS week rollover', -1024 * 7 * 86_400], ['forward 4 s', 4]])('set %s while silent', (_, step) => {
    const truth = world('S11');
    const reading = readingOf(truth, 'cart', { shows: (t) => truth.dayStart + t + (t < 14_800 ? 0 : step), records: silent });
    const day = assembleDay([readingOf(truth, 'tractor'), reading]);
    const [wheel, ...others] = channelsOf(day, 'wheel.speed');
    expect(others.map(({ source, time }) => [source.note, time.length, time[0]])).toEqual([]);
    expect(monotone(day)).toBe(true);
    const times = (truth.channels.find(({ id }) => id === 'wheel.speed')?.time ?? new Float64Array()).filter(silent);
    expect(wheel?.time.length).toBe(times.length);
    expect(times.reduce((most, t, i) => Math.max(most, Math.abs(t - (wheel?.time[i] as number))), 0)).toBeLessThan(0.5);
    expect(logOf(day, 'cart.csv').clockOffset).toBe(0);
    expect(notes(day)).toMatch(/set meanwhile|set back|far from the rest/);
    expect(day.gaps.filter(({ file }) => file === 'cart.csv').map(({ span }) => [Math.round(span.start), Math.round(span.end)])).toEqual([[14_599, 15_000]]);
  });

  test('the first hours in 1970: placed where they belong by what both logs saw', () => {
    const truth = world('S11');
    const day = assembleDay([readingOf(truth, 'tractor'), readingOf(truth, 'cart', { shows: (t) => (t < 7200 ? 100 + t : truth.dayStart + t) })]);
    expect(channelsOf(day, 'wheel.speed').map(({ source }) => source.note)).toEqual([undefined]);
    expect(error(day, truth, 'wheel.speed')).toBeLessThan(0.5);
  });
});
