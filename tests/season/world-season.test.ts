import { expect, test } from 'vitest';
import { comparedCase } from '../../src/season/compared-day.ts';
import { compareDays, type ComparedDay } from '../../src/season/comparison.ts';
import { comparisonText } from '../../src/season/comparison-text.ts';
import { history } from '../../src/season/history.ts';
import { worldDay, worldSeason } from './world-season.ts';

test('seven whole synthetic days, judged as logs are: a wheel that wears and a scale that steps are found, a constant entered anew is not taken for either', () => {
  const season = history('Drill D60', worldSeason({ days: 7, seed: 1, wheel: (day) => 1 - (0.02 * day) / 6, scale: (day) => (day < 4 ? 1 : 0.96), entered: (day) => (day < 2 ? 20 : 19.9) }));
  const moved = season.series.filter(({ status }) => status === 'moved');
  expect(moved.map(({ series }) => series.name).sort()).toEqual(['scale.span', 'wheel.ratio']);
  const wheel = moved.find(({ series }) => series.name === 'wheel.ratio');
  const scale = moved.find(({ series }) => series.name === 'scale.span');
  const way = ((wheel?.series.points.at(-1)?.hectares ?? NaN) - (wheel?.series.points[0]?.hectares ?? NaN)) / 100;
  expect(Math.abs((wheel?.drift?.value ?? NaN) * way + 0.02)).toBeLessThan(0.004);
  expect(scale?.model?.steps.map(({ index }) => index)).toEqual([4]);
  expect(Math.abs((scale?.model?.steps[0]?.size.value ?? NaN) + 0.04)).toBeLessThan(0.008);
  expect(season.settings.map(({ changes }) => changes.map(({ name }) => name))).toEqual([['wheel constant']]);
});

test('two whole days, the wheel constant corrected between them: it worked, the finding is gone, and nothing else of the machine changed that matters', () => {
  const plan = { days: 2, seed: 9, wheel: () => 1, scale: () => 1, entered: (day: number) => (day === 0 ? 18.8 : 20) };
  const [before, after] = [0, 1].map((day): ComparedDay => {
    const { readings, setup } = worldDay(plan, day);
    return { ...comparedCase(readings), ...(setup === undefined ? {} : { setup }) };
  }) as [ComparedDay, ComparedDay];
  const comparison = compareDays(before, after);
  const row = (name: string) => comparison.rows.find((candidate) => candidate.name === name);
  expect(row('wheel.ratio')?.verdict).toBe('changed');
  expect(row('wheel.ratio')?.planned?.isReached).toBe(true);
  expect(row('wheel.constant')?.verdict).not.toBe('changed');
  expect(comparison.findings.gone.map(({ finding: { code }, notLookedAt }) => [code, notLookedAt])).toContainEqual(['speed.calibration-off', undefined]);
  expect(comparison.findings.fresh).toEqual([]);
  /* With the constant goes the rate; everything else stayed. */
  const changed = comparison.rows.filter(({ verdict, difference, matters }) => verdict === 'changed' && Math.abs(difference.value) >= (matters ?? 0)).map(({ name }) => name);
  expect(changed.sort()).toEqual(['tank.load-for-area', 'wheel.ratio']);
  expect(comparisonText(comparison, 'metric')).toMatch(/it\s+did\s+what\s+it\s+should/);
});
