import { copyFileSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';
import type { Day } from '../../shared/day.ts';
import { readLogHeader } from '../../src/formats/taskdata/log-header.ts';
import { readRecords } from '../../src/formats/taskdata/log-records.ts';
import { readXml } from '../../src/formats/taskdata/xml-elements.ts';
import { readLogs } from '../../src/read-logs.ts';
import { inPieces } from '../formats/recording-sink.ts';
import { channelOf, hasRealLogs, held, jsonLines, place, readDay } from './reading-day.ts';

const FOLDER = 'isobus/aircart-taskdata';
/** Of real-logs/INDEX.md. */
const RECORDS: Readonly<Record<string, number>> = {
  TLG00002: 417, TLG00003: 1114, TLG00004: 12, TLG00005: 217, TLG00006: 174, TLG00007: 19, TLG00008: 214, TLG00009: 98, TLG00010: 9, TLG00011: 731, TLG00012: 18, TLG00014: 399,
};

interface DecodedLine {
  readonly file: string;
  readonly time?: string;
  readonly pos?: { readonly PositionNorth?: number; readonly PositionEast?: number; readonly GpsUtcTime?: number };
  readonly values?: Readonly<Record<string, number>>;
}

const temporary = mkdtempSync(path.join(tmpdir(), 'sowtrace-task-'));
afterAll(() => rmSync(temporary, { recursive: true }));

/** A day of one time log only: the task file names it, the others are missing. */
async function dayOf(...logs: readonly string[]): Promise<Day> {
  const folder = mkdtempSync(path.join(temporary, 'log-'));
  for (const name of ['TASKDATA.XML', ...logs.flatMap((log) => [`${log}.XML`, `${log}.BIN`])]) copyFileSync(place(`${FOLDER}/${name}`), path.join(folder, name));
  return readLogs([folder], { zone: 'UTC' });
}

describe.skipIf(!hasRealLogs)('air-cart task data: values as isoxml 1.11.2 decodes them', () => {
  test.each(Object.keys(RECORDS))('%s: every time, position and value', async (name) => {
    const { root } = await readXml(inPieces(readFileSync(place(`${FOLDER}/${name}.XML`)), 4096));
    const header = root === undefined ? undefined : readLogHeader(root);
    if (header === undefined) throw new Error('no header');
    const lines = jsonLines<DecodedLine>(`${FOLDER}/isoxml-npm-1.11.2-decoded.jsonl.gz`).filter((line) => line.file === name && line.time !== undefined);
    const wrong: string[] = [];
    let record = 0;
    let compared = 0;
    const records = readRecords(new Uint8Array(readFileSync(place(`${FOLDER}/${name}.BIN`))), header, (offset, size, reason) => wrong.push(`${offset}: ${size} bytes ${reason}`));
    for (const { wall, position, count, index, value } of records) {
      const line = lines[record];
      record += 1;
      if (Math.abs(Date.parse(line?.time ?? '') / 1000 - wall) > 1e-6) wrong.push(`${record}: time`);
      if (Math.abs((position.A ?? 0) / 1e7 - (line?.pos?.PositionNorth ?? 0)) > 1e-9 || position.H !== line?.pos?.GpsUtcTime) wrong.push(`${record}: position`);
      /* isoxml keys values by number and element, so that of several slices on one element only the last is kept. */
      const found = new Map<string, number>();
      for (let i = 0; i < count; i += 1) {
        const datum = header.values[index[i] as number];
        found.set(`${(datum?.ddi ?? 0).toString(16).toUpperCase().padStart(4, '0')}_${datum?.element}`, value[i] as number);
      }
      for (const [key, reference] of Object.entries(line?.values ?? {})) {
        compared += 1;
        if (found.get(key) !== reference) wrong.push(`${record}: ${key} ${found.get(key)} instead of ${reference}`);
      }
      if (found.size !== Object.keys(line?.values ?? {}).length) wrong.push(`${record}: ${found.size} values`);
    }
    expect(wrong.slice(0, 5)).toEqual([]);
    expect(record).toBe(RECORDS[name]);
    expect(lines).toHaveLength(record);
    expect(compared).toBeGreaterThan(record / 2);
  });

  test('the folder is one day, every byte of every file accounted for, no record bad', async () => {
    const day = await readDay(FOLDER);
    expect(day.logs).toHaveLength(1);
    expect(day.logs[0]).toMatchObject({ format: 'taskdata', badRecords: 0, records: Object.values(RECORDS).reduce((sum, count) => sum + count, 0) });
    expect(day.logs[0]?.bytes.rejected).toBe(0);
    /* Tasks that ran side by side are no clock steps. */
    expect(day.logs[0]?.notes.join(' ')).not.toContain('set back');
  });

  test('the small log of another terminal: 207 records, filled value index 3 = 67159 (isoxml-js own test)', async () => {
    const day = await readDay('isobus/tlg-other/small/TLG00001.XML');
    expect(day.logs[0]).toMatchObject({ format: 'taskdata', records: 207 });
    const lat = channelOf(day, 'gnss.lat').value;
    const lon = channelOf(day, 'gnss.lon').value;
    expect([Math.min(...lon), Math.min(...lat), Math.max(...lon), Math.max(...lat)]).toEqual([9.5777866, 45.5277534, 9.5779409, 45.5278066]);
  });
});

describe.skipIf(!hasRealLogs)('air-cart task data: slices of bus messages that isoxml drops', () => {
  /* Distances of real-logs/INDEX.md, metres: wheel, ground, course over ground; computed there in another way, so within 0.3 %. Gaps in recording do not count. */
  test.each([['TLG00003', 1459.9, 1458.0, 1451.9], ['TLG00011', 1001.4, 1001.0, 996.5]])('%s: wheel, ground and GNSS distance, and a healthy wheel', async (name, wheel, ground, gnss) => {
    const day = await dayOf(name);
    const distance = (id: string): number => held(channelOf(day, id), 10);
    expect(Math.abs(distance('wheel.speed') / wheel - 1)).toBeLessThan(0.003);
    expect(Math.abs(distance('ground.speed') / ground - 1)).toBeLessThan(0.003);
    expect(Math.abs(distance('gnss.speed') / gnss - 1)).toBeLessThan(0.003);
    /* Healthy: no published figure; the speed wheel is within 1 % of the receiver. */
    expect(Math.abs(distance('wheel.speed') / distance('gnss.speed') - 1)).toBeLessThan(0.01);
    for (const id of ['gnss.course', 'pitch', 'roll']) expect(channelOf(day, id).value.some(Number.isFinite)).toBe(true);
  });
});

describe.skipIf(!hasRealLogs)('air-cart task data: the three known facts of TLG00006 (messages.md 6.4)', () => {
  const step = (day: Day, id: string, at: number): number => {
    const { time, value } = channelOf(day, id);
    let found = Number.NaN;
    for (let i = 0; i < time.length && (time[i] as number) <= at; i += 1) found = value[i] as number;
    return found;
  };

  test('mass flow = rate × width × ground speed to 0.01 %', async () => {
    const day = await dayOf('TLG00006');
    const flow = channelOf(day, 'meter.1.flow');
    let steady = 0;
    for (let i = 2; i < flow.time.length; i += 1) {
      const at = flow.time[i] as number;
      const speeds = [at - 2, at - 1, at].map((t) => step(day, 'ground.speed', t));
      const rates = [at - 2, at].map((t) => step(day, 'meter.1.rate', t));
      if (speeds.some((speed) => speed !== speeds[0] || speed < 1) || rates[0] !== rates[1] || !(Number(rates[0]) > 0)) continue;
      const expected = Number(rates[0]) * step(day, 'implement.width', at) * Number(speeds[0]);
      if (Math.abs((flow.value[i] as number) / expected - 1) < 1.2e-4) steady += 1;
    }
    expect(steady).toBeGreaterThan(5);
  });

  test('integrated flow 18.0 kg, while the tank falls 3 kg and the totals rise 3 kg', async () => {
    const day = await dayOf('TLG00006');
    expect(held(channelOf(day, 'meter.1.flow'), 100)).toBeCloseTo(18.03, 1);
    const tank = day.channels.find(({ source }) => source.ddi === 75)?.value ?? new Float64Array(0);
    /* INDEX.md says 4960 → 4956; the log itself begins at 4959. */
    expect([tank[0], tank[tank.length - 1]]).toEqual([4959, 4956]);
    const total = day.channels.find(({ source }) => source.ddi === 81)?.value ?? new Float64Array(0);
    expect((total[total.length - 1] as number) - (total[0] as number)).toBeCloseTo(3, 6);
  });

  test('sections follow their set point after 6.1 s', async () => {
    const day = await dayOf('TLG00006');
    /* The first to be switched on is the sixth; 18:00:31.8 and 18:00:37.9 on the terminal’s clock, 76.2 and 82.3 s into the log. */
    const firstOn = (id: string, from: number): number => {
      const { time, value } = channelOf(day, id);
      return time[[...time.keys()].find((i) => value[i] === 1 && (time[i] as number) >= from) ?? -1] ?? Number.NaN;
    };
    const begin = channelOf(day, 'gnss.lat').time[0] ?? Number.NaN;
    const wanted = firstOn('section.6.on', begin);
    expect(wanted - begin).toBeCloseTo(76.2, 1);
    /* INDEX.md takes the difference of the two times rounded to 0.1 s. */
    expect(Math.abs(firstOn('section.6.actual', wanted) - wanted - 6.1)).toBeLessThan(0.1);
  });
});

test.skipIf(!hasRealLogs)('a task file cut in the middle is still read as far as it goes, or refused in a sentence', async () => {
  const folder = mkdtempSync(path.join(temporary, 'cut-'));
  for (const name of ['TLG00006.XML', 'TLG00006.BIN']) copyFileSync(place(`${FOLDER}/${name}`), path.join(folder, name));
  const whole = readFileSync(place(`${FOLDER}/TASKDATA.XML`), 'utf8');
  writeFileSync(path.join(folder, 'TASKDATA.XML'), whole.slice(0, whole.indexOf('TLG00006') + 40));
  const day = await readLogs([folder]);
  expect(day.logs[0]?.records).toBe(174);
  expect(day.logs[0]?.notes.join(' ')).toContain('not well-formed');
});
