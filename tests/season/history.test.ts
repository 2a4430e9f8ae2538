import { describe, expect, test } from 'vitest';
import { history, type History, type SeriesHistory } from '../../src/season/history.ts';
import { historyText } from '../../src/season/history-text.ts';
import { listingOf, statisticalSeason, type SeasonPlan } from './statistical-season.ts';

const season = (plan: SeasonPlan): History => history('Drill D60', statisticalSeason(plan));
const named = (found: History, name: string): SeriesHistory => {
  const entry = found.series.find(({ series }) => series.name === name);
  if (entry === undefined) throw new Error(`no series ${name}`);
  return entry;
};
const loud = (found: History): readonly string[] => found.series.filter(({ status }) => status === 'moved' || status === 'moved-little').map(({ series }) => series.name);

describe('quiet seasons', () => {
  test('at most 5 of 100 raise any false alarm, in eight series together', () => {
    const seasons = Array.from({ length: 60 }, (_, seed) => season({ seed: seed + 1, between: [0, 1, 3][seed % 3] as number }));
    /* 5 % and three standard errors of 60 tries. */
    expect(seasons.filter((found) => loud(found).length > 0).length).toBeLessThanOrEqual(8);
    /* With the usual spread between days nothing reaches a size that matters. */
    expect(seasons.filter((_, i) => i % 3 !== 2).flatMap((found) => found.series.filter(({ status }) => status === 'moved'))).toEqual([]);
    expect(seasons[0]?.series).toHaveLength(8);
  });

  test('a constant entered anew is no drift of the machine', () => {
    const found = season({ seed: 2, entered: (day) => (day < 15 ? 18.8 : 20) });
    expect(named(found, 'wheel.ratio').status).toBe('steady');
    expect(named(found, 'wheel.ratio').model?.last.value).toBeCloseTo(0.995, 3);
    expect(named(found, 'wheel.ratio').series.note).toContain('last wheel constant');
    expect(named(season({ seed: 2 }), 'wheel.ratio').series.note).toBeUndefined();
    expect(found.settings.map(({ listing, changes }) => [listing.date, changes])).toEqual([[listingOf(15).date, [{ name: 'wheel constant', before: '18.80 pulses/m', after: '20.00 pulses/m' }]]]);
  });

  test('another product is another series, not a step', () => {
    const found = season({ seed: 4, product: (day) => (day < 20 ? 'wheat' : 'pea') });
    const perTurn = found.series.filter(({ series }) => series.name === 'meter.mass-per-turn');
    expect(perTurn.map(({ series }) => series.condition)).toEqual(['wheat', 'pea']);
    expect(loud(found)).toEqual([]);
    /* The scale weighs whatever lies in the tank. */
    expect(found.series.filter(({ series }) => series.name === 'scale.span')).toHaveLength(1);
  });

  test('few days: nothing is told, and that is said', () => {
    const found = season({ seed: 5, days: 4, wheel: (day) => 1 - day / 100 });
    expect(new Set(found.series.map(({ status }) => status))).toEqual(new Set(['too-few-days']));
    expect(historyText(found, 'metric')).toContain('no measurement was made on enough days');
    expect(historyText(history('empty', []), 'metric')).toContain('Nothing can be told yet');
  });
});

describe('a season with a slow wheel drift of 1 % in total and one scale step', () => {
  const seasons = Array.from({ length: 12 }, (_, seed) => season({ seed: seed + 1, wheel: (day) => 1 - (0.01 * day) / 39, scale: (day) => (day < 22 ? 1 : 0.98), entered: (day) => (day < 10 ? 18.8 : 20) }));

  test('both are found in every one, the drift as a drift and the step as a step', () => {
    for (const found of seasons) {
      expect(named(found, 'wheel.ratio').status).toBe('moved');
      expect(named(found, 'wheel.ratio').model?.steps).toEqual([]);
      expect(named(found, 'scale.span').status).toBe('moved');
      expect(named(found, 'scale.span').model?.steps).toHaveLength(1);
      expect(named(found, 'scale.span').drift).toBeUndefined();
    }
  });

  test('size and date: intervals hold the truth, and are narrow', () => {
    let held = 0;
    for (const found of seasons) {
      const { drift, series, per } = named(found, 'wheel.ratio');
      expect(per).toBe('100 ha');
      const first = series.points[0]?.hectares ?? NaN;
      const whole = ((series.points.at(-1)?.hectares ?? NaN) - first) / 100;
      /* The wear was planned by days and is told by hectares; days of unlike size bend it a little. */
      if (drift !== undefined && Math.abs(drift.value * whole + 0.00995) < 0.0012) held += 1;
      expect((drift?.high ?? NaN) - (drift?.low ?? NaN)).toBeLessThan(0.002 / whole);
      const [step] = named(found, 'scale.span').model?.steps ?? [];
      expect(step?.low).toBeLessThanOrEqual(22);
      expect(step?.high).toBeGreaterThanOrEqual(22);
      expect((step?.high ?? NaN) - (step?.low ?? NaN)).toBeLessThanOrEqual(2);
      expect(Math.abs((step?.size.value ?? NaN) + 0.02)).toBeLessThan(0.003);
    }
    expect(held).toBe(seasons.length);
  });

  test('the letter names both with dates, the constant as entered, and nothing else', () => {
    const text = historyText(seasons[2] as History, 'metric');
    expect(text).toContain('2 of 8 series moved');
    expect(text).toMatch(/Drifts: −1\.\d+ % \(.*\) from 2031-04-20 to 2031-05-29/);
    expect(text).toMatch(/Stepped by −[12]\.\d+ %/);
    expect(text).toContain('wheel constant: 18.80 pulses/m → 20.00 pulses/m');
    expect(text).toMatch(/With 20\.00 pulses\/m entered, 19\.7\d pulses\/m fits now/);
    expect(text).not.toMatch(/undefined|NaN|‹|›/);
    expect(Math.max(...text.split('\n').map((line) => line.length))).toBeLessThanOrEqual(100);
  });
});

test('findings that come back are counted by day', () => {
  const found = season({ seed: 1, findings: (day) => (day % 10 === 0 ? [{ code: 'run.blocked', subject: 'run.47', severity: 'action' }] : day === 3 ? [{ code: 'tank.ran-out', subject: 'tank.1', severity: 'watch' }] : []) });
  expect(found.recurring).toEqual([{ code: 'run.blocked', subject: 'run.47', severity: 'action', dates: [0, 10, 20, 30].map((day) => listingOf(day).date), cautions: ['Stop the fan first.'] }]);
  expect(historyText(found, 'metric')).toContain('Before anyone goes to the machine\n - Stop the fan first.');
});
