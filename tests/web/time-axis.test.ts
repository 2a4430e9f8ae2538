import { describe, expect, test } from 'vitest';
import { formatClock } from '../../shared/text.ts';
import { clockSeconds, parseClock, showValue } from '../../web/plot/show-value.ts';
import { timeTicks } from '../../web/plot/time-ticks.ts';

const at = (iso: string, zone: string) => ({ units: 'metric' as const, zone, dayStart: Date.parse(iso) / 1000 });

describe('a typed time is the one shown', () => {
  test.each([['UTC', '2026-05-06T07:40:00.25Z'], ['America/Regina', '2026-05-06T13:40:00Z'], ['Australia/Eucla', '2026-05-06T22:10:30Z'], ['Europe/Berlin', '2026-05-06T22:30:00Z']])('%s', (zone, start) => {
    const reading = at(start, zone);
    for (const seconds of [0.75, 61, 3600, 20_000, 35_999]) {
      const back = parseClock(formatClock(seconds, reading), reading, 36_000);
      expect(Math.abs((back ?? Number.NaN) - seconds)).toBeLessThanOrEqual(1);
    }
  });

  test('also when the clock is changed during the day (Europe/Berlin, 29 March 2026, 02:00 → 03:00)', () => {
    const reading = at('2026-03-28T23:00:00Z', 'Europe/Berlin');
    expect(parseClock('01:30', reading, 82_800)).toBe(1.5 * 3600);
    expect(parseClock('12:00', reading, 82_800)).toBe(11 * 3600);
  });

  test.each(['', 'noon', '25:00', '10:75', '10', '23:59:59'])('"%s" is none of this day', (text) => {
    expect(parseClock(text, at('2026-05-06T07:00:00Z', 'UTC'), 3600 * 10)).toBeUndefined();
  });
});

test('ticks stand on round local times and are never too many', () => {
  const reading = at('2026-05-06T07:43:17Z', 'Asia/Kathmandu');
  for (const span of [2, 45, 700, 9000, 36_000, 86_400]) {
    const { step, times } = timeTicks({ from: 100, to: 100 + span }, 8, clockSeconds(0, reading));
    expect(times.length).toBeLessThanOrEqual(9);
    expect(times.length).toBeGreaterThan(0);
    for (const time of times) expect(Math.abs((clockSeconds(time + 1e-7, reading) / step) % 1)).toBeCloseTo(0, 4);
  }
});

test('values carry their unit; none is a dash', () => {
  expect(showValue(8.04, 'km/h')).toBe('8.0 km/h');
  expect(showValue(Number.NaN, 'rpm')).toBe('–');
  expect(showValue(null, 'kg')).toBe('–');
  expect(showValue(-5.2, 'kg')).toBe('−5 kg');
});
