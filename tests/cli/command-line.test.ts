import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { Ajv } from 'ajv';
import { parquetReadObjects } from 'hyparquet';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { commands } from '../../src/cli/main.ts';
import findingsSchema from '../../shared/findings-schema.json' with { type: 'json' };
import { sowtrace } from './terminal.ts';

const ROOT = path.resolve(import.meta.dirname, '../..');
const SAMPLE = path.join(ROOT, 'sample-logs/mud-in-opener');
const sample = [path.join(SAMPLE, 'day.log.gz'), '--setup', path.join(SAMPLE, 'setup.json'), '--signals', path.join(SAMPLE, 'signals.json')];
const CLEAN = path.join(ROOT, 'sample-logs/clean-morning');
const clean = [path.join(CLEAN, 'day.csv.gz'), '--setup', path.join(CLEAN, 'setup.json')];
const isValid = new Ajv({ allErrors: true }).compile(findingsSchema);

let folder = '';
beforeAll(async () => { folder = await mkdtemp(path.join(tmpdir(), 'sowtrace-cli-')); });
afterAll(async () => rm(folder, { recursive: true, force: true }));
const file = async (name: string, content: string | Uint8Array): Promise<string> => {
  const place = path.join(folder, name);
  await writeFile(place, content);
  return place;
};

describe('check', () => {
  test('findings: exit 1, one valid JSON document on stdout, nothing on stderr', async () => {
    const { status, out, err } = await sowtrace(['check', ...sample, '--format', 'json']);
    expect(err).toBe('');
    const document: unknown = JSON.parse(out);
    expect(isValid(document), JSON.stringify(isValid.errors?.slice(0, 3))).toBe(true);
    expect(status).toBe(1);
  });

  test('a clean stretch: exit 0', async () => {
    const { status, out } = await sowtrace(['check', ...clean, '--format', 'json']);
    const document = JSON.parse(out) as { findings: { severity: string }[] };
    expect(isValid(document), JSON.stringify(isValid.errors?.slice(0, 3))).toBe(true);
    expect(document.findings.filter((finding) => finding.severity !== 'info')).toEqual([]);
    expect(status).toBe(0);
  });

  test('text names the verdict, the cause, the deciding check and the cautions', async () => {
    const { status, out } = await sowtrace(['check', ...sample]);
    expect(status).toBe(1);
    expect(out).toContain('run 47');
    expect(out).toContain('Settle it');
    expect(out).toContain('Before anyone goes to the machine');
    expect(out).not.toMatch(/undefined|NaN|‹|›/);
    expect(out).not.toContain('\u001B');
    expect(Math.max(...out.split('\n').map((line) => line.length))).toBeLessThanOrEqual(140);
  });

  test('US units and a farm zone change what is read, not what is found', async () => {
    const { out } = await sowtrace(['check', ...sample, '--units', 'us', '--zone', 'America/Regina']);
    expect(out).toMatch(/ lb/);
    expect(out).toContain('America/Regina');
    expect(out).not.toMatch(/ kg\/ha/);
  });

  test('colour only on a terminal, and not with --no-color or NO_COLOR', async () => {
    const terminal = { outIsTerminal: true };
    expect((await sowtrace(['check', ...sample], terminal)).out).toContain('\u001B[');
    expect((await sowtrace(['check', ...sample, '--no-color'], terminal)).out).not.toContain('\u001B[');
    expect((await sowtrace(['check', ...sample], { ...terminal, environment: { NO_COLOR: '1' } })).out).not.toContain('\u001B[');
  });

  test('--out writes the file and says nothing', async () => {
    const place = path.join(folder, 'findings.json');
    const { status, out } = await sowtrace(['check', ...sample, '--format', 'json', '--out', place]);
    expect(status).toBe(1);
    expect(out).toBe('');
    expect(isValid(JSON.parse(await readFile(place, 'utf8')))).toBe(true);
  });
});

describe('what cannot be read: exit 2 and one sentence that says what, where and what to do', () => {
  const cases: readonly [string, () => Promise<string[]>, RegExp][] = [
    ['no log', async () => ['check'], /No log was named/],
    ['a missing file', async () => ['check', path.join(folder, 'none.log')], /none\.log.*no such file/],
    ['an empty file', async () => ['check', await file('empty.log', '')], /empty\.log/],
    ['binary junk', async () => ['check', await file('junk.bin', Uint8Array.from({ length: 5000 }, (_, i) => (i * 7919 + 13) % 256))], /junk\.bin/],
    ['a file with no usable line', async () => ['check', await file('prose.txt', 'dear diary\ntoday we seeded\n')], /prose\.txt/],
    ['a setup with a typo', async () => ['check', ...sample.slice(0, 1), '--setup', await file('setup.json', '{"machine": {"workingWith": "18 m"}}')], /workingWith.*workingWidth/],
    ['a setup that is no JSON', async () => ['check', ...sample.slice(0, 1), '--setup', await file('broken.json', '{"machine": ')], /broken\.json is not valid JSON/],
    ['a setup that is not there', async () => ['check', ...sample.slice(0, 1), '--setup', path.join(folder, 'no.json')], /no\.json cannot be read/],
    ['signals with a typo', async () => ['check', ...sample.slice(0, 1), '--signals', await file('signals.json', '{"signals":[{"chanel":"tank.1.mass"}]}')], /chanel/],
    ['a mistyped option', async () => ['check', ...sample.slice(0, 1), '--fromat', 'json'], /Did you mean --format/],
    ['an unknown format', async () => ['check', ...sample.slice(0, 1), '--format', 'xml'], /text or json/],
    ['an unknown command', async () => ['chekc'], /Did you mean "sowtrace check"/],
    ['an unknown zone', async () => ['check', ...sample.slice(0, 1), '--zone', 'Prairie'], /not a time zone/],
  ];
  test.each(cases)('%s', async (_, words, sentence) => {
    const { status, out, err } = await sowtrace(await words());
    expect(status).toBe(2);
    expect(out).toBe('');
    expect(err).toMatch(sentence);
    expect(err.trim().split('\n')).toHaveLength(1);
    expect(err).not.toMatch(/\bat .*\.(?:ts|js):\d+/);
  });
});

describe('the other commands', () => {
  test('inspect names format, messages, channels and an account of every byte', async () => {
    const { status, out } = await sowtrace(['inspect', ...sample]);
    expect(status).toBe(0);
    expect(out).toMatch(/candump/);
    expect(out).toMatch(/PGN 129025/);
    expect(out).toMatch(/run\.47\.count/);
    const [, total, used, ignored, rejected] = /bytes: ([\d,]+) = ([\d,]+) used \+ ([\d,]+) left out by rule \+ ([\d,]+) rejected/.exec(out) ?? [];
    const number = (text: string | undefined): number => Number(text?.replaceAll(',', ''));
    expect(number(total)).toBe(number(used) + number(ignored) + number(rejected));
    expect(number(total)).toBeGreaterThan(1000);
  });

  test('export writes CSV that reads back in with the same values', async () => {
    const place = path.join(folder, 'back.csv');
    expect((await sowtrace(['export', ...sample, '--channels', 'run.4?.count,run.47.count,gnss.speed', '--every', '1s', '--format', 'csv', '--out', place])).status).toBe(0);
    const again = path.join(folder, 'again.csv');
    expect((await sowtrace(['export', place, '--every', '1s', '--format', 'csv', '--out', again])).status).toBe(0);
    const first = await readFile(place, 'utf8');
    expect(first.split('\n').length).toBeGreaterThan(1000);
    expect(await readFile(again, 'utf8')).toBe(first);
  });

  test('export to GeoJSON: points with their channels, places of the findings, valid rings and positions', async () => {
    const { status, out } = await sowtrace(['export', ...sample, '--channels', 'fan.1.speed', '--every', '5s', '--format', 'geojson']);
    expect(status).toBe(0);
    const { type, features } = JSON.parse(out) as { type: string; features: { geometry: { type: string; coordinates: number[][] }; properties: Record<string, unknown> }[] };
    expect(type).toBe('FeatureCollection');
    const points = features.filter((feature) => feature.geometry.type === 'Point');
    /* 24 minutes in steps of 5 s, and the sample that ends them */
    expect(points.length).toBe(289);
    expect(points[0]?.properties).toMatchObject({ kind: 'sample', 'fan.1.speed [rpm]': expect.closeTo(3600, -3) as number });
    for (const { geometry } of points) {
      const [longitude, latitude] = geometry.coordinates as unknown as number[];
      expect(longitude).toBeCloseTo(-30, 1);
      expect(latitude).toBeCloseTo(0.5, 1);
    }
    expect(features.filter((feature) => feature.properties['code'] === 'run.blocked').length).toBeGreaterThan(0);
  });

  test('export to Parquet: as many rows, and the same values, as the CSV', async () => {
    const place = path.join(folder, 'day.parquet');
    expect((await sowtrace(['export', ...sample, '--channels', 'run.47.count,gnss.speed', '--every', '1s', '--format', 'parquet', '--out', place])).status).toBe(0);
    const bytes = await readFile(place);
    const rows = (await parquetReadObjects({ file: bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.byteLength) as ArrayBuffer })) as { time: Date; 'run.47.count': number | null }[];
    const csv = await sowtrace(['export', ...sample, '--channels', 'run.47.count,gnss.speed', '--every', '1s', '--format', 'csv']);
    const lines = csv.out.trim().split('\n').slice(1).map((line) => line.split(','));
    expect(rows.filter((row) => row['run.47.count'] !== null)).toHaveLength(lines.filter((line) => line[2] !== '').length);
    for (const line of lines.filter((_, index) => index % 97 === 0)) {
      const row = rows.find((candidate) => candidate.time.getTime() === Date.parse(line[0] ?? ''));
      expect(row?.['run.47.count'] ?? '').toBeCloseTo(Number(line[2]), 5);
    }
  });

  test('help of every command comes from its own data', async () => {
    for (const command of commands) {
      const { status, out } = await sowtrace([command.name, '--help']);
      expect(status).toBe(0);
      for (const option of Object.keys(command.options)) expect(out).toContain(`--${option}`);
    }
    expect((await sowtrace(['--help'])).out).toContain('sowtrace check');
    expect((await sowtrace(['--version'])).out).toMatch(/^sowtrace \d+\.\d+\.\d+\n$/);
  });
});
