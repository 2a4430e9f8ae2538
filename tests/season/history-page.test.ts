import { Ajv } from 'ajv';
import { SaxesParser } from 'saxes';
import { describe, expect, test } from 'vitest';
import type { Finding } from '../../shared/finding.ts';
import { history } from '../../src/season/history.ts';
import { historyDocument } from '../../src/season/history-document.ts';
import { historyPage } from '../../src/season/history-page.ts';
import { seasonDay } from '../../src/season/season-series.ts';
import { smallDay } from '../store/small-day.ts';
import { statisticalSeason } from './statistical-season.ts';

const days = statisticalSeason({ seed: 3, wheel: (day) => 1 - (0.01 * day) / 39, scale: (day) => (day < 22 ? 1 : 0.98), entered: (day) => (day < 10 ? 18.8 : 20) });
const season = history('Drill D60', days);

describe('the page', () => {
  test('is well formed, with one chart per series and one point per day, and asks for nothing from outside', () => {
    const page = historyPage(season, 'metric');
    const counts: Record<string, number> = {};
    const parser = new SaxesParser();
    parser.on('opentag', ({ name }) => { counts[name] = (counts[name] ?? 0) + 1; });
    parser.on('error', (error) => { throw error; });
    parser.write(page.replace('<!doctype html>', '')).close();
    expect(counts['svg']).toBe(8);
    expect(counts['circle']).toBe(8 * 40);
    expect(counts['script']).toBeUndefined();
    expect(page).not.toMatch(/https?:|url\(|NaN|undefined|‹/);
  });

  test('every chart names its unit, and what came back is said in words, not in codes', () => {
    const [first, ...rest] = days;
    if (first === undefined) throw new Error('no day');
    const blocked = { ...smallDay().findings[0] as Finding, subject: 'run.5' };
    const again = [first, ...rest].map((day) => ({ ...day, readings: { ...day.readings, findings: [blocked] } }));
    const page = historyPage(history('Drill D60', again), 'metric');
    const charts = page.split('<svg ').slice(1);
    expect(charts.filter((chart) => /<text class="tick"[^>]*>(?:%|kg|s|m|pulses\/m|rpm|ha|kg\/ha|seeds\/turn)<\/text>/.test(chart)).length).toBe(charts.length);
    expect(page).toContain('<h1>Drill D60 over its season</h1>');
    expect(page).toContain('<td>put right</td><td>run 5: blocked</td><td>40 of 40</td>');
    expect(page).not.toMatch(/run\.blocked|run\.5/);
  });

  test('whatever a machine is called stays text', () => {
    const page = historyPage(history('<img src=x onerror=alert(1)>"', days), 'us');
    expect(page).not.toContain('<img');
    expect(page).toContain('&lt;img');
  });
});

test('the document tells both movements with dates, as numbers', () => {
  const document = historyDocument(season);
  const isValid = new Ajv().compile({
    type: 'object', required: ['schema', 'machine', 'days', 'series', 'settings', 'recurring'],
    properties: { schema: { const: 'sowtrace/history/1' }, series: { type: 'array', items: { type: 'object', required: ['name', 'subject', 'unit', 'status', 'first', 'last', 'points', 'p'] } } },
  });
  expect(isValid(JSON.parse(JSON.stringify(document))), JSON.stringify(isValid.errors)).toBe(true);
  const series = document['series'] as readonly { readonly name: string; readonly steps: readonly { readonly before: string; readonly after: string }[]; readonly drift?: { readonly per: string; readonly value: number } }[];
  expect(series.find(({ name }) => name === 'scale.span')?.steps.map(({ before, after }) => [before, after])).toEqual([['2031-05-11', '2031-05-12']]);
  expect(series.find(({ name }) => name === 'wheel.ratio')?.drift).toMatchObject({ per: '100 ha' });
});

test('a kept setup is read in the zone of its day; a broken one is as good as none', () => {
  const [first] = days;
  if (first === undefined) throw new Error('no day');
  expect(seasonDay({ ...first.readings, setup: '\uFEFF{"machine":{"wheel":{"constant":"20 pulses/m"}}}' }).setup?.machine.wheel?.constant.pulsesPerMetre).toBe(20);
  expect(seasonDay({ ...first.readings, setup: '{' }).setup).toBeUndefined();
  expect(seasonDay(first.readings).setup).toBeUndefined();
});
