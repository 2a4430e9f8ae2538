import { expect, test } from 'vitest';
import { history } from '../../src/season/history.ts';
import { worldSeason } from './world-season.ts';

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
