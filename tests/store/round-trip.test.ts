import { stat } from 'node:fs/promises';
import path from 'node:path';
import fc from 'fast-check';
import { parquetReadObjects } from 'hyparquet';
import { describe, expect, test } from 'vitest';
import type { Analysis } from '../../shared/day.ts';
import { emptySetup } from '../../shared/setup.ts';
import { analyse, findingsDocument, openStore, parseSignals, readLogs, version } from '../../src/index.ts';
import { exactJson, parseExactJson } from '../../src/store/exact-json.ts';
import { SMALL_SETUP, channelOf, oddChannels, smallDay } from './small-day.ts';
import { filesUnder, storeFolder } from './store-folder.ts';

const SAMPLES = path.resolve(import.meta.dirname, '../../sample-logs');

/** `toEqual` takes typed arrays of millions one by one: samples are compared as bytes. NaN is one NaN. */
function expectSame(back: Analysis, given: Analysis): void {
  const { channels, ...day } = given.day;
  const { channels: backChannels, ...backDay } = back.day;
  expect({ ...back, day: backDay }).toEqual({ ...given, day });
  expect(backChannels.length).toBe(channels.length);
  for (const [i, { time, value, ...about }] of channels.entries()) {
    const { time: backTime, value: backValue, ...backAbout } = backChannels[i] as (typeof channels)[number];
    expect(backAbout).toEqual(about);
    expect(backValue.constructor).toBe(value.constructor);
    for (const [column, backColumn] of [[time, backTime], [value, backValue]] as const) {
      expect(Buffer.compare(Buffer.from(backColumn.buffer, backColumn.byteOffset, backColumn.byteLength), Buffer.from(column.buffer, column.byteOffset, column.byteLength)), `${about.id} to the bit`).toBe(0);
    }
  }
}

async function kept(analysis: Analysis, setup?: string): Promise<{ readonly root: string; readonly back: Analysis }> {
  const root = await storeFolder();
  const { id } = await openStore(root).save({ analysis, zone: 'UTC', ...(setup === undefined ? {} : { setup }) });
  const opened = await openStore(root).open(id);
  expect(opened.setup).toBe(setup);
  return { root, back: await opened.analysis() };
}

describe('what was kept comes back to the bit', () => {
  test.each([['clean-morning/day.csv.gz', undefined], ['mud-in-opener/day.log.gz', 'mud-in-opener/signals.json']])('%s', async (log, signals) => {
    const { readFile } = await import('node:fs/promises');
    const day = await readLogs([path.join(SAMPLES, log)], signals === undefined ? {} : { signals: parseSignals(await readFile(path.join(SAMPLES, signals), 'utf8'), signals) });
    expect(day.channels.length).toBeGreaterThan(20);
    const analysis = analyse(day, emptySetup);
    const { root, back } = await kept(analysis);
    expectSame(back, analysis);
    const document = [...(await filesUnder(root))].find(([name]) => name.endsWith('/findings.json'))?.[1].toString('utf8');
    expect(JSON.parse(document ?? '')).toEqual(JSON.parse(JSON.stringify(findingsDocument(analysis))));
  });

  test('odd channels, odd numbers, a setup with a byte order mark', async () => {
    const analysis = smallDay('odd', 3, oddChannels());
    expectSame((await kept(analysis, SMALL_SETUP)).back, analysis);
  });

  test('any numbers at all, in both widths', async () => {
    await fc.assert(fc.asyncProperty(fc.array(fc.tuple(fc.double(), fc.double()), { maxLength: 50 }), fc.boolean(), async (samples, narrow) => {
      const time = Float64Array.from(samples, ([t]) => (Number.isNaN(t) ? 0 : t)).sort();
      const value = narrow ? Float32Array.from(samples, ([, v]) => v) : Float64Array.from(samples, ([, v]) => v);
      const analysis = smallDay('any', 0, [channelOf('wheel.speed', time, value)]);
      expectSame((await kept(analysis)).back, analysis);
    }), { numRuns: 25 });
  });

  test('a day without channels and findings', async () => {
    const analysis: Analysis = { ...smallDay('none', 0, []), findings: [], measurements: [], checks: [] };
    expectSame((await kept(analysis)).back, analysis);
  });

  test('exact JSON keeps what JSON loses', () => {
    fc.assert(fc.property(fc.array(fc.double()), (numbers) => {
      expect(parseExactJson(exactJson({ numbers }))).toEqual({ numbers });
      expect(parseExactJson(exactJson(new Float64Array(numbers)))).toEqual(new Float64Array(numbers));
    }));
  });
});

describe('what lies on the disk', () => {
  test('partitions, plain tables and channels that any engine reads; nobody else may look', async () => {
    const analysis = smallDay('tables');
    const { root } = await kept(analysis, SMALL_SETUP);
    const files = await filesUnder(root);
    const [folder = ''] = [...files.keys()].filter((name) => name.endsWith('/case.json')).map((name) => path.posix.dirname(name));
    expect(folder).toMatch(/^machine=drill-elan-60\/date=2026-05-07\/case=c[0-9a-f]{15}$/);
    expect((await stat(root)).mode & 0o777).toBe(0o700);
    expect((await stat(path.join(root, folder))).mode & 0o777).toBe(0o700);
    expect(files.get(`${folder}/setup.json`)?.toString('utf8')).toBe(SMALL_SETUP);

    const table = async (name: string): Promise<Record<string, unknown>[]> => {
      const bytes = files.get(`${folder}/${name}`) ?? Buffer.alloc(0);
      return parquetReadObjects({ file: { byteLength: bytes.length, slice: (from, to) => new Uint8Array(bytes.subarray(from, to)).buffer } });
    };
    expect(await table('measurements.parquet')).toEqual([{ name: 'wheel.ratio', subject: 'wheel', value: 1.01, low: 1, high: null, unit: 'ratio', n: 12, start: new Date('2026-05-07T03:30:00Z') }]);
    expect((await table('findings.parquet'))[0]).toMatchObject({ code: 'run.blocked', subject: 'run.1', severity: 'action', verdict: 'proved', title: 'run 1 is blocked from 03:31:00', value: 0.1, high: null, start: new Date('2026-05-07T03:31:00Z'), duration: 30, area_ha: 0.25 });
    const channels = await table('channels-001.parquet');
    expect(channels.length).toBe(3000);
    expect(channels[1]).toMatchObject({ 'time': 0.2, 'wheel.speed': analysis.day.channels[0]?.value[1], 'run.1.count': 181 });
    expect(channels[0]).toMatchObject({ 'run.1.count': null });
  });

  test('the list, the readings, and the calendar day in the case’s zone', async () => {
    const root = await storeFolder();
    const store = openStore(root);
    expect(await store.list()).toEqual({ cases: [], damaged: [] });
    const analysis = smallDay('listed');
    const { id, listing, replaced, sharesLogsWith } = await store.save({ analysis, zone: 'America/Regina' });
    expect({ replaced, sharesLogsWith }).toEqual({ replaced: false, sharesLogsWith: [] });
    expect(listing).toMatchObject({ id, machine: 'unnamed', date: '2026-05-06', zone: 'America/Regina', name: 'listed.log', version, actions: 1, watches: 1, duration: 600 });
    expect(listing.logs).toEqual([{ file: 'listed.log', format: 'candump', sha256: analysis.day.logs[0]?.sha256 }]);
    expect(await openStore(root).list()).toEqual({ cases: [listing], damaged: [] });
    const { findings, ...readings } = await openStore(root).readings(id);
    expect(readings).toEqual({ listing, summary: analysis.summary, measurements: analysis.measurements, checks: analysis.checks });
    expect(findings.map((finding) => ({ ...finding, evidence: [] }))).toEqual(analysis.findings.map((finding) => ({ ...finding, evidence: [] })));
  });
});
