import { expect, test, vi } from 'vitest';
import { shownDate } from '../../web/panels/frame/names.ts';

const MAY = Date.UTC(2031, 4, 8, 20) / 1000;

test('the date is that of the zone, whichever zone was asked for before', () => {
  for (const _ of [1, 2]) {
    expect(shownDate(MAY, 'UTC')).toBe('8 May 2031');
    expect(shownDate(MAY, 'Australia/Perth')).toBe('9 May 2031');
  }
});

test('a zone’s date format is made once, however often the frame is drawn', () => {
  const { DateTimeFormat } = Intl;
  let made = 0;
  vi.spyOn(Intl, 'DateTimeFormat').mockImplementation(function count(...given) {
    made += 1;
    return new DateTimeFormat(...given);
  });
  for (let zoom = 0; zoom < 100; zoom += 1) expect(shownDate(MAY + zoom, 'America/Regina')).toBe('8 May 2031');
  expect(made).toBe(1);
  vi.restoreAllMocks();
});
