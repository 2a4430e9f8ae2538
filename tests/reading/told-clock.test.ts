import { describe, expect, test } from 'vitest';
import type { Channel } from '../../shared/channel.ts';
import type { Day } from '../../shared/day.ts';
import { openBytes } from '../../src/open-log.ts';
import { readOpenedLogs } from '../../src/read-logs.ts';

const TRUE_START = 1_746_532_800;
const DAY = 86_400;
const WEEKS_1024 = 1024 * 7 * DAY;

const hex = (value: number, bytes: number): string => Array.from({ length: bytes }, (_, i) => (Math.floor(value / 256 ** i) & 0xff).toString(16).padStart(2, '0')).join('');

/** NMEA 2000 PGN 126992 (System Time, source GPS): days since 1970 and 0.0001 s since midnight. */
const systemTime = (logged: number, utc: number): string => `(${logged.toFixed(6)}) can0 0DF01023#00F0${hex(Math.floor(utc / DAY), 2)}${hex(Math.round((utc % DAY) * 1e4), 4)}\n`;
/** ISO 11783-7 PGN 65096, wheel-based speed in mm/s. */
const wheel = (logged: number, speed: number): string => `(${logged.toFixed(6)}) can0 0CFE4822#${hex(speed, 2)}FFFFFFFFFFFF\n`;

/** Once a second for `seconds`; `shows` is the log's clock, `says` the receiver's, at so many true seconds from TRUE_START. */
function log(seconds: number, shows: (t: number) => number, says: (t: number) => number, records: (t: number) => boolean = () => true): string {
  let text = '';
  for (let t = 0; t < seconds; t += 1) if (records(t)) text += wheel(shows(t), 2000 + (t % 100)) + systemTime(shows(t) + 0.02, says(t));
  return text;
}

const read = (...texts: readonly string[]): Promise<Day> => readOpenedLogs(texts.map((text, i) => openBytes(`${'ab'[i]}.log`, Buffer.from(text))));
const utc = (t: number): number => TRUE_START + t;
const wheels = (day: Day): Channel[] => day.channels.filter(({ id }) => id === 'wheel.speed');
const farthest = (day: Day, times = [...(wheels(day)[0]?.time ?? [])].map((_, i) => i)): number =>
  times.reduce((most, t, i) => Math.max(most, Math.abs((wheels(day)[0]?.time[i] ?? Infinity) + day.start - utc(t))), 0);

describe('a log’s own GNSS time: quiet', () => {
  test.each([['right', 0], ['1.5 s late, as messages may be', 1.5]])('a clock that is %s stays exactly', async (_, late) => {
    const day = await read(log(600, utc, (t) => utc(t) - late));
    expect(day.logs[0]).toMatchObject({ clockOffset: 0, clock: { from: 'gnss-time', restarts: [] } });
    expect(day.logs[0]?.clock).toMatchObject({ n: 60 });
    expect(farthest(day)).toBeLessThan(1e-5);
  });

  test('a receiver that does not know its leap seconds yet (18 s since 2017, IERS Bulletin C 52)', async () => {
    const day = await read(log(1800, utc, (t) => utc(t) + (t < 300 ? 18 : 0)));
    expect(day.logs[0]?.clockOffset).toBe(0);
    expect(day.logs[0]?.notes.join(' ')).toContain('18.0 s at its start');
  });

  test('a receiver whose week number rolled over (IS-GPS-200: 10 bits) is not believed its date', async () => {
    const day = await read(log(600, utc, (t) => utc(t) - WEEKS_1024));
    expect(day.start).toBe(TRUE_START);
    expect(day.logs[0]?.clockOffset).toBe(0);
    expect(day.logs[0]?.notes.join(' ')).toContain('off by 1,024 weeks');
  });

  test('one comparison or two prove nothing', async () => {
    const day = await read(lines(10, 0) + systemTime(utc(11), utc(11) + 500) + lines(10, 12));
    expect(day.logs[0]).toMatchObject({ clockOffset: 0 });
    expect(day.logs[0]?.clock).toBeUndefined();
  });
});

const lines = (count: number, from: number): string => Array.from({ length: count }, (_, i) => wheel(utc(from + i), 2000)).join('');

describe('a log’s own GNSS time: loud', () => {
  test.each([3600, -2 * 3600 - 47, 12])('a clock that shows %d s more is put right, its times as logged kept', async (ahead) => {
    const day = await read(log(900, (t) => utc(t) + ahead, utc));
    expect(Math.abs(day.start - TRUE_START)).toBeLessThanOrEqual(1);
    expect(day.logs[0]?.clockOffset).toBeCloseTo(-ahead - 0.02, 2);
    expect(day.logs[0]?.start).toBeCloseTo(TRUE_START + ahead, 3);
    expect(farthest(day)).toBeLessThan(0.05);
    expect(day.logs[0]?.notes.join(' ')).toContain('GNSS or network time it holds');
  });

  test('a drift of 5 s an hour over three hours', async () => {
    const day = await read(log(10_800, (t) => utc(t) + t / 720, utc));
    expect(day.logs[0]?.clock?.driftPerHour).toBeCloseTo(-5, 1);
    expect(farthest(day)).toBeLessThan(0.1);
  });

  test('no wall clock: dated by it', async () => {
    const day = await read(log(600, (t) => 5 + t, utc));
    expect(day.start).toBe(TRUE_START - 1);
    expect(day.logs[0]?.start).toBeNaN();
    expect(farthest(day)).toBeLessThan(0.05);
  });

  test('a clock of 1970 that is set after ten minutes: one channel, all in its place', async () => {
    const day = await read(log(1800, (t) => (t < 600 ? 100 + t : utc(t)), utc));
    expect(wheels(day).map(({ time, source }) => [time.length, source.note])).toEqual([[1800, undefined]]);
    expect(farthest(day)).toBeLessThan(0.05);
    expect(day.logs[0]?.notes.join(' ')).toContain('far from the rest of the log');
  });

  test.each([['forward two hours', 7200], ['back an hour', -3600]])('a clock that is set %s while recording', async (_, step) => {
    const records = (t: number): boolean => t < 900 || t >= 960;
    const day = await read(log(1800, (t) => utc(t) + (t < 930 ? -step : 0), utc, records));
    const times = Array.from({ length: 1800 }, (__, t) => t).filter(records);
    expect(wheels(day).map(({ time }) => time.length)).toEqual([times.length]);
    expect(farthest(day, times)).toBeLessThan(0.05);
    expect(day.gaps).toHaveLength(1);
    expect((day.gaps[0]?.span.start ?? 0) + day.start).toBeCloseTo(utc(899), 0);
    expect((day.gaps[0]?.span.end ?? 0) + day.start).toBeCloseTo(utc(960), 0);
  });

  test('receiver and clock fall back 1,024 weeks together while recording: still one day', async () => {
    const shows = (t: number): number => utc(t) - (t < 1000 ? 0 : WEEKS_1024);
    const day = await read(log(1800, shows, shows));
    expect(wheels(day).map(({ time }) => time.length)).toEqual([1800]);
    expect(farthest(day)).toBeLessThan(0.05);
    expect(day.duration).toBeLessThan(1801);
    expect(day.logs[0]?.notes.join(' ')).toContain('off by 1,024 weeks');
  });

  test('two logs, one of them two hours off by its own GNSS time, are one day', async () => {
    const day = await read(log(600, utc, utc), log(600, (t) => utc(t + 700) - 7200, (t) => utc(t + 700)));
    expect(day.logs.map(({ clockOffset }) => Math.round(clockOffset))).toEqual([0, 7200]);
    expect(wheels(day).map(({ time, source }) => [source.file, time.length])).toEqual([['a.log + b.log', 1200]]);
  });
});
