import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { openStore } from '../../src/case-store.ts';
import { statisticalSeason } from '../season/statistical-season.ts';
import { sowtrace } from './terminal.ts';

const SAMPLE = path.resolve(import.meta.dirname, '../../sample-logs/mud-in-opener');
const sample = [path.join(SAMPLE, 'day.log.gz'), '--setup', path.join(SAMPLE, 'setup.json'), '--signals', path.join(SAMPLE, 'signals.json')];

let folder = '';
let root = '';
let ids: readonly string[] = [];

/** Ten days of one machine whose wheel wears by 3 %, and one day of another. */
beforeAll(async () => {
  folder = await mkdtemp(path.join(tmpdir(), 'sowtrace-season-'));
  root = path.join(folder, 'kept');
  const store = openStore(root);
  const saved: string[] = [];
  const season = statisticalSeason({ seed: 3, days: 10, wheel: (day) => 1 - (0.03 * day) / 9 });
  for (const [k, { readings: { listing, summary, measurements } }] of season.entries()) {
    const constant = k < 5 ? '20 pulses/m' : '19.8 pulses/m';
    const ratio = k < 5 ? 1 : 20 / 19.8;
    const { id } = await store.save({
      analysis: {
        summary, findings: [], checks: [], measurements: measurements.map((entry) => (entry.name === 'wheel.ratio' ? { ...entry, value: entry.value * ratio, low: entry.low * ratio, high: entry.high * ratio } : entry)),
        day: { start: listing.start, duration: listing.duration, channels: [], messages: [], gaps: [], logs: listing.logs.map((log) => ({ ...log, start: listing.start, end: listing.start + 10, records: 1, badRecords: 0, bytes: { total: 1, accepted: 1, rejected: 0, ignored: 0 }, bad: [], clockOffset: 0, notes: [] })) },
        episodes: { working: [], turning: [], parked: [], filling: [], gaps: [] },
      },
      setup: JSON.stringify({ machine: { name: 'Drill D60', wheel: { constant } } }), zone: 'UTC',
    });
    saved.push(id);
  }
  ids = saved;
});
afterAll(async () => rm(folder, { recursive: true, force: true }));

describe('history', () => {
  test('one machine: text, JSON and a page; the wear is found and the constant is named', async () => {
    const { status, out, err } = await sowtrace(['history', '--store', root]);
    expect(err).toBe('');
    expect(status).toBe(0);
    expect(out).toMatch(/1 of \d series moved: Distance by the speed wheel/);
    expect(out).toContain('wheel constant: 20 pulses/m → 19.8 pulses/m');
    expect(out).not.toMatch(/undefined|NaN|‹|›/);
    const document = JSON.parse((await sowtrace(['history', '--store', root, '--machine', 'drill d60', '--format', 'json'])).out) as { days: unknown[]; series: { name: string; status: string }[] };
    expect(document.days).toHaveLength(10);
    expect(document.series.filter(({ status: is }) => is === 'moved').map(({ name }) => name)).toEqual(['wheel.ratio']);
    const page = path.join(folder, 'season.html');
    expect((await sowtrace(['history', '--store', root, '--format', 'html', '--out', page])).status).toBe(0);
    expect(await readFile(page, 'utf8')).toContain('<svg');
  });

  test('a part of the season', async () => {
    const { out } = await sowtrace(['history', '--store', root, '--from', '2031-04-22', '--to', '2031-04-25', '--units', 'us']);
    expect(out).toContain('4 kept days, 2031-04-22 to 2031-04-25');
    expect(out).toContain('at least 6 are needed');
  });

  test.each([
    [['--machine', 'Drill D66'], 'Did you mean "Drill D60"?'], [['--from', 'May'], 'is not a date'], [['--from', '2040-01-01'], 'No kept day of Drill D60'], [['day.log'], 'reads kept days'],
  ])('%j: one sentence', async (words, sentence) => {
    const { status, out, err } = await sowtrace(['history', '--store', root, ...words]);
    expect(status).toBe(2);
    expect(out).toBe('');
    expect(err).toContain(sentence);
  });

  test('nothing kept', async () => {
    expect((await sowtrace(['history', '--store', path.join(folder, 'none')])).err).toContain('No day is kept');
  });
});

describe('compare', () => {
  test('two kept days, by the beginning of their ids', async () => {
    const { status, out } = await sowtrace(['compare', ids[0] ?? '', (ids[9] ?? '').slice(0, 12), '--store', root]);
    expect(status).toBe(0);
    expect(out).toContain('Wheel constant that fits the day: changed');
    expect(out).toMatch(/did\s+not do what it should/);
    expect(out).not.toMatch(/undefined|NaN|‹|›/);
  });

  test('two stretches of a log: the run that became blocked is new', async () => {
    const { status, out } = await sowtrace(['compare', ...sample, '--before', '..10:34', '--after', '2031-05-08T10:35..', '--format', 'json']);
    expect(status).toBe(0);
    const { findings, sharesLogs, measurements } = JSON.parse(out) as { findings: { new: { subject: string }[] }; sharesLogs: boolean; measurements: { name: string; verdict?: string }[] };
    expect(findings.new.map(({ subject }) => subject)).toContain('run.47');
    expect(sharesLogs).toBe(true);
    expect(measurements.filter(({ verdict }) => verdict === 'changed')).toEqual([]);
  });

  test('a log with itself under another setup', async () => {
    const other = path.join(folder, 'other.json');
    const setup = JSON.parse(await readFile(path.join(SAMPLE, 'setup.json'), 'utf8')) as { machine: Record<string, unknown> };
    await writeFile(other, JSON.stringify({ ...setup, machine: { ...setup.machine, workingWidth: '18 m' } }));
    const log = sample[0] ?? '';
    const { out } = await sowtrace(['compare', log, log, '--signals', path.join(SAMPLE, 'signals.json'), '--setup', path.join(SAMPLE, 'setup.json'), '--setup-after', other]);
    expect(out).toMatch(/working width: 18\.288 m → 18\.000 m/);
    expect(out).toMatch(/Both\s+come\s+from\s+the\s+same\s+log/);
  });

  test.each([
    [[], 'none was named'], [['a.log'], '1 was named'], [['no-such', 'thing'], 'no-such'], [['c123456', 'thing'], 'no kept day "c123456"'], [[...sample, '--before', '..10:40'], 'Only --before was given'],
    [[...sample, '--before', '..10:45', '--after', '10:40..'], 'overlap'], [[...sample, '--before', '10:40', '--after', '10:45..'], 'no stretch of time'], [[...sample, '--before', '..noon', '--after', '10:45..'], 'is not a time'], [[...sample, '--before', '..10:30', '--after', '18:00..'], 'holds nothing'],
  ])('%j: one sentence', async (words, sentence) => {
    const { status, out, err } = await sowtrace(['compare', ...words, '--store', root]);
    expect(status).toBe(2);
    expect(out).toBe('');
    expect(err).toContain(sentence);
    expect(err.trim().split('\n')).toHaveLength(1);
  });
});
