import { describe, expect, test } from 'vitest';
import { formatClock, formatDuration, formatNumber, quantity, renderText, shownUnit, type Reading } from '../../shared/text.ts';

const metric: Reading = { units: 'metric', zone: 'UTC', dayStart: Date.UTC(2031, 4, 3, 8) / 1000 };
const american: Reading = { ...metric, units: 'us', zone: 'America/Regina' };

describe('sentences with quantities', () => {
  const sentence = `${quantity.mass(-31)} on ${quantity.area(2880, 3)} at ${quantity.rate(0.012)} since ${quantity.clock(3661)}`;

  test('read in metric units and UTC', () => {
    expect(renderText(sentence, metric)).toBe('−31 kg on 0.288 ha at 120.0 kg/ha since 09:01:01');
  });

  /* 120 kg/ha = 107.06 lb/ac: trade notes c.4 give 107 lb/ac; Regina keeps UTC−6 all year (tz database) */
  test('read in US units and a farm zone', () => {
    expect(renderText(sentence, american)).toBe('−68 lb on 0.712 ac at 107.1 lb/ac since 03:01:01');
  });

  test('text without tokens stays as it is', () => {
    expect(renderText('a ‹b› {c} | d', metric)).toBe('a ‹b› {c} | d');
  });

  test('numbers that are none show a dash', () => {
    expect(renderText(quantity.mass(NaN), metric)).toBe('– kg');
  });
});

test.each([[0, '0 s'], [3.25, '3.3 s'], [45, '45 s'], [75, '1 min 15 s'], [120, '2 min'], [5400, '1 h 30 min'], [7200, '2 h'], [3599.6, '1 h'], [-75, '−1 min 15 s']])('%d s reads %s', (seconds, text) => {
  expect(formatDuration(seconds)).toBe(text);
});

test.each([[1234.5, 1, '1234.5'], [12345.6, 0, '12,346'], [-0.001, 1, '0.0'], [-2.5, 1, '−2.5']])('%d with %d decimals reads %s', (value, decimals, text) => {
  expect(formatNumber(value, decimals)).toBe(text);
});

test('the clock follows daylight saving', () => {
  /* US Central 2031: daylight time from 9 March, 08:00 UTC = 02:00 CST → 03:00 CDT */
  const spring: Reading = { units: 'us', zone: 'America/Chicago', dayStart: Date.UTC(2031, 2, 9, 7, 59, 59) / 1000 };
  expect(formatClock(0, spring)).toBe('01:59:59');
  expect(formatClock(1, spring)).toBe('03:00:00');
});

test('a sentence names the day of a time that is not of the first day, in the reader’s zone', () => {
  const evening: Reading = { units: 'metric', zone: 'America/Regina', dayStart: Date.UTC(2026, 4, 7, 4) / 1000 };
  expect(renderText(`${quantity.clock(0)} to ${quantity.clock(4 * 3600)}`, evening)).toBe('22:00:00 to 7 May 02:00:00');
  expect(renderText(quantity.clock(4 * 3600), { ...evening, zone: 'UTC' })).toBe('08:00:00');
});

test('plotted units', () => {
  expect(shownUnit('m/s', 'metric').convert(2)).toBeCloseTo(7.2, 12);
  expect(shownUnit('kg', 'us').label).toBe('lb');
  expect(shownUnit('rpm', 'us').convert(3200)).toBe(3200);
});
