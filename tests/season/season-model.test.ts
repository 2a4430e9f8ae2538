import { describe, expect, test } from 'vitest';
import { seasonModel, type ModelledDays, type SeasonModel } from '../../src/season/season-model.ts';
import { createRandom } from '../support/world/random.ts';

const isQuiet = (model: SeasonModel | undefined): boolean => model !== undefined && model.drift === undefined && model.steps.length + model.oddDays.length === 0;

/** Days with intervals `told` times as wide as they should be, spread between days and memory of the day before. */
function days(seed: number, options: { readonly n?: number; readonly told?: number; readonly between?: number; readonly memory?: number; readonly level?: (i: number) => number } = {}): ModelledDays {
  const { n = 40, told = 1, between = 1, memory = 0, level = () => 0 } = options;
  const random = createRandom(seed, `days ${n}`);
  let carried = random.normal();
  const list = Array.from({ length: n }, (_, i) => {
    const own = random.between(0.6, 1.6);
    carried = memory * carried + Math.sqrt(1 - memory ** 2) * random.normal();
    return { at: i * 0.6, value: 100 + level(i) + own * random.normal() + between * carried, uncertainty: own * told };
  });
  return { at: list.map(({ at }) => at), value: list.map(({ value }) => value), uncertainty: list.map(({ uncertainty }) => uncertainty) };
}

const falseShare = (seeds: number, options: Parameters<typeof days>[1], alpha = 0.05): number => {
  let loud = 0;
  for (let seed = 1; seed <= seeds; seed++) if (!isQuiet(seasonModel(days(seed, options), alpha))) loud += 1;
  return loud / seeds;
};

describe('quiet', () => {
  /* 0.05 and two and a half standard errors of 100 tries. */
  test.each([['forty days', {}], ['intervals three times too wide', { told: 3 }], ['much spread between days', { between: 4 }], ['eight days', { n: 8 }]])('a level that only scatters is called moved in at most 5 of 100 series: %s', (_, options) => {
    expect(falseShare(100, options)).toBeLessThanOrEqual(0.1);
  });

  test('days that resemble their neighbours cost some false alarms, not many', () => {
    expect(falseShare(100, { memory: 0.4, between: 2 })).toBeLessThanOrEqual(0.15);
  });

  test('with no level allowed nothing is said, and too few days give nothing', () => {
    expect(isQuiet(seasonModel(days(1, { level: (i) => i }), 0))).toBe(true);
    expect(seasonModel(days(1, { n: 5 }), 0.05)).toBeUndefined();
  });
});

/** As many steps as planned, each planned day within a step's interval. */
function holds(model: SeasonModel | undefined, planned: readonly number[]): void {
  expect(model?.steps).toHaveLength(planned.length);
  planned.forEach((index, i) => {
    expect(model?.steps[i]?.low).toBeLessThanOrEqual(index);
    expect(model?.steps[i]?.high).toBeGreaterThanOrEqual(index);
  });
}

describe('loud', () => {
  test('a drift: interval holds the truth in about 95 of 100 series, no step beside it', () => {
    let held = 0;
    let clean = 0;
    for (let seed = 1; seed <= 60; seed++) {
      const model = seasonModel(days(seed, { level: (i) => -0.25 * i }), 0.01);
      const truth = -0.25 / 0.6;
      if (model?.drift !== undefined && model.drift.low <= truth && truth <= model.drift.high) held += 1;
      if (model?.drift !== undefined && model.steps.length === 0) clean += 1;
    }
    expect(held).toBeGreaterThanOrEqual(52);
    expect(clean).toBeGreaterThanOrEqual(57);
  });

  test('a step: size and place within their intervals', () => {
    let size = 0;
    let place = 0;
    for (let seed = 1; seed <= 60; seed++) {
      const step = seasonModel(days(seed, { level: (i) => (i < 23 ? 0 : 5) }), 0.01)?.steps[0];
      if (step === undefined) continue;
      if (step.size.low <= 5 && 5 <= step.size.high) size += 1;
      if (step.low <= 23 && 23 <= step.high) place += 1;
    }
    expect(size).toBeGreaterThanOrEqual(52);
    expect(place).toBeGreaterThanOrEqual(54);
  });

  test('two steps, a step on a drift, a step beside an odd day', () => {
    const up = seasonModel(days(5, { level: (i) => (i < 12 ? 0 : i < 27 ? 9 : 2) }), 0.01);
    holds(up, [12, 27]);
    const both = seasonModel(days(6, { level: (i) => 0.3 * i + (i < 20 ? 0 : 12) }), 0.01);
    expect(both?.drift?.value).toBeCloseTo(0.5, 0);
    holds(both, [20]);
    const odd = seasonModel(days(7, { level: (i) => (i < 20 ? 0 : 8) + (i === 30 ? 15 : 0) }), 0.01);
    holds(odd, [20]);
    expect(odd?.oddDays.map(({ index }) => index)).toEqual([30]);
  });

  test('a small movement may be either: that is said', () => {
    const models = Array.from({ length: 20 }, (_, seed) => seasonModel(days(seed + 1, { level: (i) => -0.07 * i }), 0.05));
    const loud = models.filter((model) => !isQuiet(model));
    expect(loud.length).toBeGreaterThan(5);
    expect(loud.filter((model) => model?.isAmbiguous === true).length).toBeGreaterThan(loud.length / 2);
    const large = seasonModel(days(3, { level: (i) => -i }), 0.05);
    expect(large?.isAmbiguous).toBe(false);
  });
});
