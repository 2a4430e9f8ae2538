import { execFileSync } from 'node:child_process';
import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { DuckDBInstance } from '@duckdb/node-api';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { sowtrace } from '../cli/terminal.ts';

/* What other programs make of our exports: GDAL's ogrinfo (apt-get install gdal-bin) and DuckDB. */

const SAMPLE = path.resolve(import.meta.dirname, '../../sample-logs/mud-in-opener');
const sample = [path.join(SAMPLE, 'day.log.gz'), '--setup', path.join(SAMPLE, 'setup.json'), '--signals', path.join(SAMPLE, 'signals.json')];
const hasOgrinfo = ((): boolean => {
  try {
    execFileSync('ogrinfo', ['--version'], { stdio: 'ignore' });
    return true;
  } catch {
    return false;
  }
})();

let folder = '';
beforeAll(async () => { folder = await mkdtemp(path.join(tmpdir(), 'sowtrace-outside-')); });
afterAll(async () => rm(folder, { recursive: true, force: true }));
const exported = async (name: string, ...options: readonly string[]): Promise<string> => {
  const file = path.join(folder, name);
  const { status, err } = await sowtrace(['export', ...sample, ...options, '--out', file]);
  expect(status, err).toBe(0);
  return file;
};

type Coordinates = number | readonly Coordinates[];
const positions = (coordinates: Coordinates): readonly (readonly [number, number])[] =>
  typeof coordinates === 'number' ? [] : typeof coordinates[0] === 'number' ? [[coordinates[0], coordinates[1] as number]] : coordinates.flatMap(positions);

describe.skipIf(!hasOgrinfo)('ogrinfo reads the GeoJSON export', () => {
  test('as many features, in the same extent, with their times and finding codes', async () => {
    const file = await exported('day.geojson', '--channels', 'wheel.speed,run.47.count', '--format', 'geojson');
    const { features } = JSON.parse(await readFile(file, 'utf8')) as { features: { geometry: { coordinates: Coordinates }; properties: Record<string, unknown> }[] };
    const all = features.flatMap(({ geometry }) => positions(geometry.coordinates));
    const seen = execFileSync('ogrinfo', ['-ro', '-al', '-so', file], { encoding: 'utf8' });
    expect(Number(/Feature Count: (\d+)/.exec(seen)?.[1])).toBe(features.length);
    expect(features.length).toBeGreaterThan(1000);
    const extent = /Extent: \(([-\d.]+), ([-\d.]+)\) - \(([-\d.]+), ([-\d.]+)\)/.exec(seen)?.slice(1).map(Number) ?? [];
    const ours = [Math.min(...all.map(([x]) => x)), Math.min(...all.map(([, y]) => y)), Math.max(...all.map(([x]) => x)), Math.max(...all.map(([, y]) => y))];
    /* ogrinfo prints six decimals. */
    ours.forEach((value, i) => expect(extent[i]).toBeCloseTo(value, 5));
    expect(seen).toMatch(/WGS 84/);
    expect(seen).toMatch(/time: DateTime/);
    const blocked = execFileSync('ogrinfo', ['-ro', '-al', '-so', '-where', "code = 'run.blocked'", file], { encoding: 'utf8' });
    expect(Number(/Feature Count: (\d+)/.exec(blocked)?.[1])).toBe(features.filter(({ properties }) => properties['code'] === 'run.blocked').length);
    expect(features.some(({ properties }) => properties['code'] === 'run.blocked')).toBe(true);
  });
});

describe('DuckDB reads the Parquet export', () => {
  test.each([['a row per second', ['--every', '1s']], ['a row per sample', []]])('%s: as many rows and the same sums as our CSV', async (_, every) => {
    const parquet = await exported('day.parquet', '--channels', 'wheel.speed,run.47.count', ...every, '--format', 'parquet');
    const csv = await exported('day.csv', '--channels', 'wheel.speed,run.47.count', ...every, '--format', 'csv');
    const instance = await DuckDBInstance.create(':memory:');
    const connection = await instance.connect();
    try {
      const first = async (sql: string, file: string): Promise<readonly unknown[]> => (await connection.runAndReadAll(sql, { file })).getRowsJS()[0] ?? [];
      /* CSV leaves out a row without any value, a table cannot. */
      const wide = `SELECT count(coalesce("wheel.speed", "run.47.count")), sum("wheel.speed"), sum("run.47.count"), epoch_ms(min(time)), epoch_ms(max(time)) FROM read_parquet($file)`;
      const long = `SELECT count(DISTINCT time), sum(CASE WHEN channel = 'wheel.speed' THEN value END), sum(CASE WHEN channel = 'run.47.count' THEN value END), epoch_ms(min(time)), epoch_ms(max(time)) FROM read_parquet($file)`;
      const ours = await first(every.length > 0 ? wide : long, parquet);
      const lines = (await readFile(csv, 'utf8')).trim().split(/\r?\n/);
      const head = lines[0]?.split(',') ?? [];
      const column = (name: string): readonly number[] => lines.slice(1).map((line) => line.split(',')[head.findIndex((heading) => heading.startsWith(name))] ?? '').filter((cell) => cell !== '').map(Number);
      const sum = (values: readonly number[]): number => values.reduce((total, value) => total + value, 0);
      expect(Number(ours[0])).toBe(lines.length - 1);
      expect(Number(ours[1]) / sum(column('wheel.speed'))).toBeCloseTo(1, 4);
      expect(Number(ours[2]) / sum(column('run.47.count'))).toBeCloseTo(1, 4);
      expect(Number(ours[4]) - Number(ours[3])).toBeGreaterThan(20 * 60 * 1000);
    } finally {
      connection.closeSync();
      instance.closeSync();
    }
  });
});
