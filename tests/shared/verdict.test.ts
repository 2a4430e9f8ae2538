import { expect, test } from 'vitest';
import { renderText } from '../../shared/text.ts';
import { workedWords } from '../../shared/verdict.ts';

const words = (areaHa: number, workingHours: number): string => renderText(workedWords({ areaHa, workingHours }), { units: 'metric', zone: 'UTC', dayStart: 0 });

test('ground and hours of a day; no hectares are said to be none measured, with what it takes', () => {
  expect(words(4.42, 0.3)).toBe('4.4 ha by GNSS, 0.3 h in work');
  expect(words(0, 2.5)).toBe('No ground measured (it takes work, GNSS and the working width), 2.5 h in work');
});
