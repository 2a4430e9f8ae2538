import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { existsSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import Papa from 'papaparse';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { logsKey } from '../../shared/marks.ts';
import { loadEngine, openEngine } from '../../src/fleet/engine.ts';
import { answerCsv, answerText } from '../../src/fleet/fleet-text.ts';
import { openFleet, type Cell, type Fleet, type FleetAnswer } from '../../src/fleet/fleet.ts';
import { fleetQuestions, type FleetQuestion } from '../../src/fleet/questions.ts';
import type { Store } from '../../src/store/store.ts';
import { sowtrace } from '../cli/terminal.ts';
import { keptFleet, tablesOf, type PlainDay } from './kept-fleet.ts';

let folder = '';
let root = '';
let store: Store;
let days: readonly PlainDay[] = [];
let fleet: Fleet;
/** Machine as folders name it. */
const SLUGS: Readonly<Record<string, string>> = { 'Drill D60': 'drill-d60', 'Drill D40 "west"': 'drill-d40-west', 'Ünit 7': 'unit-7' };
const slugOf = ({ machine }: PlainDay): string => SLUGS[machine] ?? '?';

beforeAll(async () => {
  folder = await mkdtemp(path.join(tmpdir(), 'sowtrace-fleet-'));
  /* A quote in the path must not end a string of SQL. */
  root = path.join(folder, "o'kept days");
  ({ store, days } = await keptFleet(root));
  fleet = await openFleet(await tablesOf(store));
});
afterAll(async () => {
  fleet.close();
  await rm(folder, { recursive: true, force: true });
});

const question = (id: string): FleetQuestion => {
  const found = fleetQuestions.find((candidate) => candidate.id === id);
  if (found === undefined) throw new Error(`no question ${id}`);
  return found;
};
const rowsOf = ({ columns, rows }: FleetAnswer): readonly Readonly<Record<string, Cell>>[] => rows.map((row) => Object.fromEntries(columns.map((column, k) => [column, row[k] ?? null])));
const ask = async (id: string, values: Readonly<Record<string, string>> = {}) => rowsOf(await fleet.ask(question(id), values));
const values = (list: readonly PlainDay[], name: string, subject: string) => list.flatMap((day) => day.measurements.filter((measurement) => measurement.name === name && measurement.subject === subject));
const mean = (list: readonly number[]): number => list.reduce((sum, value) => sum + value, 0) / list.length;
const machines = Object.values(SLUGS).sort();
const daysOf = (slug: string): readonly PlainDay[] => days.filter((day) => slugOf(day) === slug);

describe('answers are those of plain arithmetic', () => {
  test('every row of every kept day is there', () => {
    expect(fleet.counts).toEqual({ measurements: days.reduce((sum, day) => sum + day.measurements.length, 0), findings: days.reduce((sum, day) => sum + day.findings.length, 0), marks: 0 });
  });

  test('days, hectares, hours, findings', async () => {
    const rows = await ask('days');
    expect(rows.map(({ machine }) => machine)).toEqual(machines);
    for (const row of rows) {
      const own = daysOf(String(row['machine']));
      expect(row['days']).toBe(own.length);
      expect(row['hectares']).toBeCloseTo(values(own, 'area.gnss', 'field').reduce((sum, { value }) => sum + value, 0), 9);
      expect(row['actions']).toBe(own.flatMap(({ findings }) => findings).filter(({ severity }) => severity === 'action').length);
      expect(row['watches']).toBe(own.flatMap(({ findings }) => findings).filter(({ severity }) => severity === 'watch').length);
    }
  });

  test('wheels that moved: the worn one, by as much as it wore', async () => {
    const rows = await ask('wheel-moved');
    expect(rows.map(({ machine }) => machine)).toEqual(['drill-d40-west']);
    const constants = values(daysOf('drill-d40-west'), 'wheel.constant', 'wheel');
    const [first, last] = [mean(constants.slice(0, 3).map(({ value }) => value)), mean(constants.slice(-3).map(({ value }) => value))];
    expect(rows[0]?.['moved']).toBeCloseTo(last / first - 1, 12);
    const halves = [...constants.slice(0, 3), ...constants.slice(-3)].map(({ low, high }) => (high - low) / 2);
    expect(rows[0]?.['half_width']).toBeCloseTo(Math.hypot(...halves) / 3 / first, 12);
    expect(await ask('wheel-moved', { moved: '5 %' })).toEqual([]);
    expect(await ask('wheel-moved', { to: '2031-04-24' })).toEqual([]);
    expect((await ask('wheel-moved', { moved: '0' })).length).toBe(3);
  });

  test('runs blocked most often', async () => {
    const expected = days.flatMap((day) => day.findings.filter(({ code }) => code === 'run.blocked' || code === 'tower.blocked').map((entry) => ({ machine: slugOf(day), subject: entry.subject, hours: (entry.span.end - entry.span.start) / 3600 })));
    const rows = await ask('blocked-runs');
    for (const row of rows) {
      const own = expected.filter(({ machine, subject }) => machine === row['machine'] && subject === row['subject']);
      expect(row['days']).toBe(own.length);
      expect(row['hours']).toBeCloseTo(own.reduce((sum, { hours }) => sum + hours, 0), 9);
    }
    expect(rows.length).toBe(new Set(expected.map(({ machine, subject }) => `${machine} ${subject}`)).size);
    expect(rows[0]?.['days']).toBe(Math.max(...rows.map((row) => Number(row['days']))));
  });

  test('rate error, delays, fans and scales', async () => {
    for (const row of await ask('rate-error')) {
      const off = daysOf(String(row['machine'])).flatMap(({ findings }) => findings).filter(({ code }) => code === 'rate.off-target');
      expect([row['days'], row['days_off']]).toEqual([9, off.length]);
      expect(row['error']).toBeCloseTo(mean(off.map(({ measure }) => (measure?.value ?? NaN) - 1)), 12);
      expect(row['mass_kg']).toBe(off.reduce((sum, { consequence }) => sum + (consequence?.massKg ?? 0), 0));
    }
    const delays = await ask('delays');
    expect(delays).toHaveLength(6);
    for (const row of delays) {
      const own = values(daysOf(String(row['machine'])), String(row['name']), 'all');
      const weights = own.map(({ low, high }) => 1 / (high - low) ** 2);
      expect(row['mean']).toBeCloseTo(own.reduce((sum, { value }, i) => sum + value * (weights[i] ?? 0), 0) / weights.reduce((sum, w) => sum + w, 0), 9);
      expect(row['longest']).toBe(Math.max(...own.map(({ value }) => value)));
    }
    expect((await ask('fan-low')).filter((row) => Number(row['days_low']) > 0).map((row) => [row['machine'], row['days_low']])).toEqual([['unit-7', 1]]);
    expect((await ask('scale-off')).filter((row) => Number(row['days_off']) > 0).map(({ machine }) => machine)).toEqual(['drill-d60']);
  });

  test('one measurement, with a bound that is not known', async () => {
    const rows = await ask('measurement', { name: 'run.variation', from: '2031-04-22', to: '2031-04-22' });
    expect(rows.map(({ machine, high }) => [machine, high])).toEqual(machines.map((machine) => [machine, null]));
    expect(await ask('measurement', { name: "x' OR '1'='1" })).toEqual([]);
  });
});

describe('docs/fleet.md', () => {
  const page = readFile(path.resolve(import.meta.dirname, '../../docs/fleet.md'), 'utf8');

  test('has every question as it is asked', async () => {
    for (const { id, sql, title } of fleetQuestions) {
      expect(await page, id).toContain(title);
      expect(await page, id).toContain(sql.trim());
    }
  });

  test('pasted into DuckDB alone gives the same answers', async () => {
    const views = /## With DuckDB alone\s+```sql\n([\s\S]*?)```/.exec(await page)?.[1] ?? '';
    const alone = await openEngine(await loadEngine());
    try {
      await alone.connection.run(views.replaceAll('STORE', root.replaceAll("'", "''")));
      for (const asked of fleetQuestions) {
        const pasted = asked.parameters.reduce((sql, { name, preset }) => sql.replaceAll(`$${name}`, typeof preset === 'number' ? String(preset) : `'${preset}'`), asked.sql);
        const rows = (await alone.connection.runAndReadAll(pasted)).getRowsJS().map((row) => row.map((cell) => (typeof cell === 'bigint' ? Number(cell) : cell)));
        const expected = (await fleet.ask(asked)).rows;
        expect(rows.length, asked.id).toBe(expected.length);
        /* Sums of the same numbers in another order end on another last digit. */
        expected.forEach((row, i) => row.forEach((cell, k) => (typeof cell === 'number' ? expect(rows[i]?.[k], asked.id).toBeCloseTo(cell, 9) : expect(rows[i]?.[k], asked.id).toEqual(cell))));
      }
    } finally {
      alone.close();
    }
  });
});

test('an action marked as done is open no more, and a day kept again is still one day', async () => {
  const before = await ask('open-actions');
  const done = days.find(({ findings }) => findings.some(({ severity }) => severity === 'action'));
  const entry = done?.findings.find(({ severity }) => severity === 'action');
  const listing = (await store.list()).cases.find(({ id }) => id === done?.id);
  if (done === undefined || entry === undefined || listing === undefined) throw new Error('no action');
  await store.marks.put(logsKey(listing.logs), entry.id, { state: 'fixed', note: '', seen: null });
  const analysis = await (await store.open(done.id)).analysis();
  await store.save({ analysis, setup: JSON.stringify({ machine: { name: done.machine } }), zone: 'UTC' });
  const again = await openFleet(await tablesOf(store));
  try {
    const after = rowsOf(await again.ask(question('open-actions')));
    expect(again.counts.findings).toBe(fleet.counts.findings);
    expect(after).toHaveLength(before.length - 1);
    expect(after.some((row) => row['case'] === done.id && row['subject'] === entry.subject)).toBe(false);
  } finally {
    again.close();
  }
});

describe('doors are shut', () => {
  test.each([
    "SELECT * FROM read_csv('/etc/passwd')", "SELECT * FROM read_text('/etc/hostname')", "SELECT * FROM glob('/*')", "COPY (SELECT 1) TO 'OUT'", "COPY measurements TO 'STORE/out.csv'", "SELECT * FROM read_parquet('STORE/**/measurements.parquet')",
    "ATTACH 'OUT'", "EXPORT DATABASE 'OUT'", 'INSTALL httpfs', 'LOAD httpfs', "SELECT * FROM 'https://example.invalid/x.parquet'", 'SET enable_external_access = true', "SET allowed_directories = ['/']", 'SET lock_configuration = false', "SELECT getenv('HOME')",
  ])('refused: %s', async (sql) => {
    const out = path.join(folder, 'out');
    await expect(fleet.run(sql.replaceAll('STORE', root.replaceAll("'", "''")).replaceAll('OUT', out))).rejects.toThrow(/disabled|locked|Permission|not exist|cannot/i);
    expect(existsSync(out)).toBe(false);
    expect(existsSync(path.join(root, 'out.csv'))).toBe(false);
  });

  test('without DuckDB: one sentence that says what to do', async () => {
    const tables = await tablesOf(store);
    const whatToDo: unknown = expect.stringContaining('npm install --ignore-scripts @duckdb/node-api');
    const missing = Object.assign(new Error("Cannot find package '@duckdb/node-api' imported from /somewhere"), { code: 'ERR_MODULE_NOT_FOUND' });
    await expect(openFleet(tables, () => Promise.reject(missing))).rejects.toMatchObject({ code: 'no-engine', message: 'Fleet questions need DuckDB, which is not installed.', whatToDo });
    await expect(openFleet(tables, () => Promise.reject(new Error('wrong processor\nstack')))).rejects.toMatchObject({ message: 'Fleet questions need DuckDB, which does not load: wrong processor.', whatToDo });
    await expect(openFleet({ measurements: [], findings: [], marks: [] })).rejects.toMatchObject({ code: 'no-days' });
  });
});

describe('what people get', () => {
  test('CSV reads back, and no title becomes a formula', async () => {
    const answer = await fleet.ask(question('open-actions'));
    const parsed = Papa.parse<string[]>(answerCsv(answer), { skipEmptyLines: true }).data;
    expect(parsed).toHaveLength(answer.rows.length + 1);
    const title = parsed[0]?.indexOf('title') ?? -1;
    expect(parsed.slice(1).every((row) => row[title]?.startsWith("'=HYPERLINK(") === true)).toBe(true);
    expect(parsed[1]?.[(parsed[0]?.indexOf('mass_kg') ?? -1)]).toMatch(/^-?\d*$/);
  });

  test('a table, and a sentence when there is nothing', async () => {
    expect(answerText(question('days'), await fleet.ask(question('days')))).toMatch(/machine +days +hectares[\s\S]*drill-d60 +9/);
    expect(answerText(question('wheel-moved'), await fleet.ask(question('wheel-moved'), { moved: '50%' }))).toContain('Nothing');
  });

  test('the command: list, table, JSON, and what is wrong in one line', async () => {
    expect((await sowtrace(['fleet'])).out).toContain('blocked-runs');
    const json = await sowtrace(['fleet', 'days', '--store', root, '--format', 'json']);
    expect((JSON.parse(json.out) as { rows: unknown[] }).rows).toHaveLength(3);
    expect(json.err).toBe('');
    for (const [words, sentence] of [[['fleet', 'dys'], 'Did you mean days?'], [['fleet', 'days', '--set', 'x=1', '--store', root], 'has no "x"'], [['fleet', 'wheel-moved', '--set', 'moved=much', '--store', root], 'is not a number'], [['fleet', 'days', '--store', path.join(folder, 'none')], 'Keep days first']] as const) {
      const { status, err, out } = await sowtrace(words);
      expect(status).toBe(2);
      expect(out).toBe('');
      expect(err).toContain(sentence);
    }
  });

  test('a damaged day is named and left out', async () => {
    const [file] = (await tablesOf(store)).measurements;
    if (file === undefined) throw new Error('no file');
    const bytes = await readFile(file);
    bytes[20] = (bytes[20] ?? 0) ^ 1;
    await writeFile(file, bytes);
    const { out, err } = await sowtrace(['fleet', 'days', '--store', root, '--format', 'json']);
    expect(err).toContain('left out');
    expect((JSON.parse(out) as { rows: { days: number }[] }).rows.reduce((sum, { days: n }) => sum + n, 0)).toBe(26);
  });
});
