import { describe, expect, test } from 'vitest';
import type { CheckReport, Measurement } from '../../shared/finding.ts';
import { parseSetup } from '../../shared/setup-file.ts';
import { compareDays, differenceOf, type ComparedDay, type Comparison } from '../../src/season/comparison.ts';
import { comparisonDocument } from '../../src/season/comparison-document.ts';
import { comparisonText } from '../../src/season/comparison-text.ts';
import { comparedCase } from '../../src/season/compared-day.ts';
import { sliceDay } from '../../src/season/day-slice.ts';
import { createRandom } from '../support/world/random.ts';
import { statisticalSeason } from './statistical-season.ts';

const looked: readonly CheckReport[] = ['speed-calibration', 'run-flow', 'scale'].map((detector) => ({ detector, status: 'clean', why: '' }));
const measured = (name: string, subject: string, value: number, half: number, unit = 'ratio'): Measurement => ({ name, subject, value, low: value - half, high: value + half, unit, n: 20 });
const day = (measurements: readonly Measurement[], about: Partial<ComparedDay> = {}): ComparedDay => ({ title: 'a day', zone: 'UTC', start: 0, areaHa: 60, measurements, findings: [], checks: looked, logs: [], ...about });
const rowOf = (comparison: Comparison, name: string): Comparison['rows'][number] => {
  const row = comparison.rows.find((candidate) => candidate.name === name);
  if (row === undefined) throw new Error(`no row ${name}`);
  return row;
};

describe('differences', () => {
  test('half-widths combine by root sum of squares, each side by itself', () => {
    const { value, low, high } = differenceOf({ value: 10, low: 7, high: 14 }, { value: 20, low: 16, high: 23 });
    expect(value).toBe(10);
    expect(low).toBeCloseTo(10 - Math.hypot(4, 4), 12);
    expect(high).toBeCloseTo(10 + Math.hypot(3, 3), 12);
  });

  test('the interval holds a true difference of independent days in about 95 of 100', () => {
    const random = createRandom(1, 'pairs');
    let held = 0;
    for (let i = 0; i < 2000; i++) {
      const [a, b] = [1 + 0.003 * random.normal(), 1.01 + 0.001 * random.normal()] as const;
      const { low, high } = differenceOf({ value: a, low: a - 1.96 * 0.003, high: a + 1.96 * 0.003 }, { value: b, low: b - 1.96 * 0.001, high: b + 1.96 * 0.001 });
      if (low <= 0.01 && 0.01 <= high) held += 1;
    }
    expect(held / 2000).toBeGreaterThan(0.935);
    expect(held / 2000).toBeLessThan(0.965);
  });
});

describe('verdicts', () => {
  test('changed, ruled out, and cannot tell', () => {
    const before = day([measured('wheel.ratio', 'wheel', 1.06, 0.002), measured('scale.span', 'tank.1', 1, 0.002), measured('fan.margin', 'fan.1', 1.1, 0.04), measured('area.gnss', 'field', 60, 1, 'ha')]);
    const after = day([measured('wheel.ratio', 'wheel', 1, 0.002), measured('scale.span', 'tank.1', 1.001, 0.002), measured('fan.margin', 'fan.1', 1.12, 0.04), measured('area.gnss', 'field', 20, 1, 'ha')]);
    const comparison = compareDays(before, after);
    expect(comparison.rows.map(({ name, verdict }) => [name, verdict])).toEqual([['wheel.ratio', 'changed'], ['scale.span', 'not-shown'], ['fan.margin', 'cannot-tell'], ['area.gnss', undefined]]);
  });

  test('without bounds nothing can be told, and what only one day has is named', () => {
    const comparison = compareDays(day([{ ...measured('wheel.ratio', 'wheel', 1, 0.1), high: Infinity }, measured('pass.spacing', 'field', 18, 0.01, 'm')]), day([measured('wheel.ratio', 'wheel', 2, 0.1)]));
    expect(rowOf(comparison, 'wheel.ratio').verdict).toBe('cannot-tell');
    expect(comparison.onlyBefore).toEqual(['pass.spacing field']);
    expect(comparisonText(comparison, 'metric')).not.toMatch(/undefined|NaN/);
    expect(comparisonText(compareDays(day([]), day([])), 'metric')).toContain('Nothing can be compared');
  });

  test('two days of a machine that stayed as it is: at most 5 of 100 comparisons name a change', () => {
    let loud = 0;
    for (let seed = 1; seed <= 300; seed++) {
      const [a, b] = statisticalSeason({ seed, days: 2, between: 0 }).map(({ readings }) => comparedCase(readings));
      if (a !== undefined && b !== undefined && compareDays(a, b).rows.some(({ verdict }) => verdict === 'changed')) loud += 1;
    }
    /* 5 % and two and a half standard errors of 300 tries. */
    expect(loud).toBeLessThanOrEqual(24);
  });

  test('kg per turn of another product cannot be compared', () => {
    const setup = (name: string) => parseSetup({ job: { products: [{ tank: '1', name }] } }).setup;
    const row = rowOf(compareDays(day([measured('meter.mass-per-turn', 'tank.1', 0.62, 0.002, 'kg')], { setup: setup('wheat') }), day([measured('meter.mass-per-turn', 'tank.1', 0.75, 0.002, 'kg')], { setup: setup('pea') })), 'meter.mass-per-turn');
    expect(row.verdict).toBe('cannot-tell');
    expect(row.unlike).toEqual(['wheat', 'pea']);
  });
});

describe('did the new wheel constant work?', () => {
  const setup = (constant: string) => parseSetup({ machine: { wheel: { constant } } }).setup;
  const before = day([measured('wheel.ratio', 'wheel', 1.0583, 0.0005)], { title: 'Wednesday', setup: setup('18.80 pulses/m') });

  test('yes: it is where the new constant should have brought it', () => {
    const comparison = compareDays(before, day([measured('wheel.ratio', 'wheel', 0.9946, 0.0007)], { title: 'Thursday', setup: setup('20.00 pulses/m') }));
    expect(rowOf(comparison, 'wheel.ratio').planned?.value.value).toBeCloseTo(1.0583 * 18.8 / 20, 12);
    const text = comparisonText(comparison, 'metric');
    expect(text).toContain('it did what it should');
    expect(text).toContain('wheel constant: 18.80 pulses/m → 20.00 pulses/m');
  });

  test('no: it stayed where it was', () => {
    const comparison = compareDays(before, day([measured('wheel.ratio', 'wheel', 1.058, 0.0007)], { title: 'Thursday', setup: setup('20.00 pulses/m') }));
    expect(rowOf(comparison, 'wheel.ratio').planned?.isReached).toBe(false);
    expect(comparisonText(comparison, 'us')).toContain('did not do what it should');
  });
});

describe('findings', () => {
  const finding = (code: 'run.blocked' | 'fan.below-floor' | 'speed.slip', subject: string) => ({
    id: code, code, subject, severity: 'action' as const, verdict: 'proved' as const, title: `${subject} from ‹clock|3600|›`, span: { start: 0, end: 1 }, episodes: [], explanation: '', excludes: [], decidingCheck: '', cautions: [`Caution for ${subject}.`], channels: [],
  });

  test('gone, new and still there; silence where nobody looked is not gone', () => {
    const comparison = compareDays(day([], { findings: [finding('run.blocked', 'run.4'), finding('run.blocked', 'run.5'), finding('fan.below-floor', 'fan.1')] }), day([], { findings: [finding('run.blocked', 'run.5'), finding('speed.slip', 'wheel')], zone: 'America/Regina' }));
    expect(comparison.findings.gone.map(({ finding: { subject }, notLookedAt }) => [subject, notLookedAt])).toEqual([['run.4', undefined], ['fan.1', 'the check was not made']]);
    expect(comparison.findings.fresh.map(({ finding: { subject } }) => subject)).toEqual(['wheel']);
    expect(comparison.findings.stayed.map(({ after: { subject } }) => subject)).toEqual(['run.5']);
    const text = comparisonText(comparison, 'metric');
    expect(text).toContain('Not seen again, but not looked for either');
    /* Cautions for what is there now, not for what went. */
    expect(text).toContain('Caution for run.5.');
    expect(text).toContain('Caution for wheel.');
    expect(text).not.toContain('Caution for run.4.');
    /* Each day's clock times are in its own zone. */
    expect(text).toContain('run.4 from 01:00:00');
    expect(text).toContain('wheel from 19:00:00');
    expect(JSON.stringify(comparisonDocument(comparison))).not.toMatch(/‹|null/);
  });
});

test('a stretch of a day keeps second 0 and holds only what was logged in it', () => {
  const time = Float64Array.from({ length: 10 }, (_, i) => i);
  const whole = { start: 1000, duration: 10, logs: [], messages: [], gaps: [{ file: 'a', span: { start: 1, end: 4 } }, { file: 'a', span: { start: 8, end: 9 } }], channels: [{ id: 'wheel.speed', unit: 'm/s' as const, source: { file: 'a' }, time, value: time }] };
  const part = sliceDay(whole, { start: 3, end: 6 });
  expect(part.start).toBe(1000);
  expect(part.duration).toBe(6);
  expect(Array.from(part.channels[0]?.time ?? [])).toEqual([3, 4, 5]);
  expect(part.gaps).toEqual([{ file: 'a', span: { start: 3, end: 4 } }]);
  expect(sliceDay(whole, { start: 20, end: 30 }).channels).toEqual([]);
});
