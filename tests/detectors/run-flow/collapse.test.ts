import { expect, test } from 'vitest';
import { calmSeconds } from '../../../src/detectors/run-flow/collapse.ts';

const collapsedAt = (...cells: readonly number[]): Uint8Array => Uint8Array.from({ length: 1000 }, (_, k) => (cells.includes(k) ? 1 : 0));

test.each<[string, Uint8Array, number, number, number]>([
  ['no collapse: all of it', collapsedAt(), 100, 400, 300],
  ['the last minute of a tank: nothing', collapsedAt(400, 401), 345, 400, 0],
  ['one second in the middle takes a minute on either side', collapsedAt(250), 100, 400, 300 - 121],
  ['one right before takes a minute', collapsedAt(99), 100, 400, 300 - 60],
  ['one right after takes a minute', collapsedAt(400), 100, 400, 300 - 60],
  ['every minute and a half: little is left', collapsedAt(90, 180, 270, 360), 100, 350, 0],
  ['far away: all of it', collapsedAt(10, 900), 100, 400, 300],
])('%s', (_, collapsed, start, end, calm) => expect(calmSeconds(collapsed, { start, end }, 1)).toBe(calm));

test('cells of two seconds', () => expect(calmSeconds(collapsedAt(100), { start: 0, end: 400 }, 2)).toBe(400 - 2 * 61));
