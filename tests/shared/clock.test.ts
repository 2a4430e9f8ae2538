import { describe, expect, test } from 'vitest';
import { isZone, parseClock, toIso } from '../../shared/clock.ts';

describe('clock times', () => {
  test.each([
    ['2031-05-03T08:30:00Z', Date.UTC(2031, 4, 3, 8, 30) / 1000],
    ['2031-05-03 08:30', Date.UTC(2031, 4, 3, 8, 30) / 1000],
    ['2031-05-03T08:30:00.250+02:00', Date.UTC(2031, 4, 3, 6, 30) / 1000 + 0.25],
    ['2031-05-03T08:30:00-0600', Date.UTC(2031, 4, 3, 14, 30) / 1000],
    ['2031-05-03', Date.UTC(2031, 4, 3) / 1000],
  ])('%s', (text, epoch) => {
    expect(parseClock(text)).toBe(epoch);
  });

  test('a time without zone is read in the zone given', () => {
    expect(parseClock('2031-05-03T08:30:00', 'America/Regina')).toBe(Date.UTC(2031, 4, 3, 14, 30) / 1000);
    /* summer time in Berlin, UTC+2 */
    expect(parseClock('2031-07-01T00:00:00', 'Europe/Berlin')).toBe(Date.UTC(2031, 5, 30, 22) / 1000);
  });

  test('a clock time that comes twice in autumn is the first of the two', () => {
    /* Berlin leaves summer time on 2031-10-26 at 03:00 CEST; 02:30 comes at 00:30 and at 01:30 UTC */
    expect(parseClock('2031-10-26T02:30:00', 'Europe/Berlin')).toBe(Date.UTC(2031, 9, 26, 0, 30) / 1000);
  });

  test.each(['', 'yesterday', '2031-13-01', '2031-02-30T00:00:00Z', '2031-05-03T25:00:00Z', '12:05'])('"%s" is not one', (text) => {
    expect(parseClock(text)).toBeUndefined();
  });

  test('back to text', () => {
    expect(toIso(Date.UTC(2031, 4, 3, 8, 30) / 1000)).toBe('2031-05-03T08:30:00Z');
    expect(toIso(0.25)).toBe('1970-01-01T00:00:00.250Z');
    expect(isZone('Mars/Olympus')).toBe(false);
  });
});
