import { readFileSync, readdirSync } from 'node:fs';
import path from 'node:path';
import { describe, expect, test } from 'vitest';
import type { Channel } from '../../shared/channel.ts';
import type { Day } from '../../shared/day.ts';
import { InputError } from '../../src/core/errors.ts';
import { pcap } from '../../src/formats/pcap/pcap.ts';
import { pcapng } from '../../src/formats/pcapng/pcapng.ts';
import { readLogs } from '../../src/read-logs.ts';
import { record } from '../formats/recording-sink.ts';
import { numberOf, type Fields } from '../messages/nmea2000-reference.ts';
import { REAL_LOGS, channelOf, hasRealLogs, jsonLines, place, readDay } from './reading-day.ts';

const files = hasRealLogs ? readdirSync(place('n2k'), { recursive: true, encoding: 'utf8' }).filter((name) => /\.(?:in|txt|log|raw|pcap|pcapng)$/.test(name)).sort() : [];

describe.skipIf(!hasRealLogs)('NMEA 2000 recordings are read', () => {
  test.each(files)('%s', async (name) => {
    const day = await readLogs([path.join(REAL_LOGS, 'n2k', name)]).catch((error: unknown) => error);
    if (day instanceof Error) {
      expect(day).toBeInstanceOf(InputError);
      /* All of its numbers are of the gateway itself. */
      expect(name).toBe('nothing here may be refused');
    }
    const { bytes } = (day as Day).logs[0] ?? {};
    expect((bytes?.accepted ?? 0) + (bytes?.rejected ?? 0) + (bytes?.ignored ?? 0)).toBe(bytes?.total);
  });
});

interface ReferenceLine { readonly pgn: number; readonly src: number; readonly fields?: Fields }

/** What speeds, positions and headings must equal, field by field; `reference` = a bit that says against which north. */
const COMPARED: Readonly<Record<number, readonly (readonly [field: string, label: string, channel: string, reference?: readonly [string, string, readonly number[]]])[]>> = {
  129025: [['latitude', 'Latitude', 'gnss.lat'], ['longitude', 'Longitude', 'gnss.lon']],
  129026: [['sog', 'SOG', 'gnss.speed'], ['cog', 'COG', 'gnss.course', ['cogReference', 'COG Reference', [0, 3]]]],
  127250: [['heading', 'Heading', 'heading', ['reference', 'Reference', [0]]], ['heading', 'Heading', 'heading.magnetic', ['reference', 'Reference', [1]]]],
};
/** The C decoder prints seven decimals of a degree, and four or fewer of the rest. */
const PRINTED = 5.1e-5;

describe.skipIf(!hasRealLogs)('speeds, positions and headings from the file to the channel equal the C decoder’s', () => {
  test.each([['can0-1.pcap', 4000], ['candumpSample3.txt', 400], ['simulator2.raw', 200]])('%s', async (name, least) => {
    const day = await readDay(`n2k/${name}`);
    const lines = jsonLines<ReferenceLine>(`n2k/ref/${name}.canboat-analyzer.jsonl.gz`);
    let compared = 0;
    const wrong: string[] = [];
    for (const [pgnText, fields] of Object.entries(COMPARED)) {
      const pgn = Number(pgnText);
      for (const source of new Set(lines.filter((line) => line.pgn === pgn).map((line) => line.src))) {
        for (const [field, label, id, reference] of fields) {
          const messages = lines.filter((line) => line.pgn === pgn && line.src === source && (reference === undefined || reference[2].includes(numberOf(line.fields ?? {}, reference[0], reference[1]) ?? 3)));
          const wanted = messages.flatMap((line) => numberOf(line.fields ?? {}, field, label) ?? []).sort((a, b) => a - b);
          const found = day.channels.filter((channel) => channel.id === id && channel.source.pgn === pgn && channel.source.sourceAddress === source)
            .flatMap((channel) => [...channel.value].filter(Number.isFinite)).sort((a, b) => a - b);
          /* Sorted, since the day puts what came while the clock was wrong into channels of its own. */
          compared += wanted.length;
          if (found.length !== wanted.length || found.some((value, i) => Math.abs(value - (wanted[i] as number)) > PRINTED)) wrong.push(`${pgn} from ${source}: ${id}, ${found.length} values instead of ${wanted.length}`);
        }
      }
    }
    expect(wrong).toEqual([]);
    expect(compared).toBeGreaterThan(least);
  });

  /* No time stamps: nothing can be placed, and the log says so. */
  test('candumpSample1.txt has frames but no times', async () => {
    const day = await readDay('n2k/candumpSample1.txt');
    expect(day.logs[0]?.records).toBe(6026);
    expect(day.logs[0]?.notes.join(' ')).toMatch(/without a time stamp|no time stamp/);
  });
});

describe.skipIf(!hasRealLogs)('can0-1.pcap', () => {
  test('its clock jumps are told and cost no frame (messages.md 12.7)', async () => {
    const day = await readDay('n2k/can0-1.pcap');
    const [log] = day.logs;
    expect(log).toMatchObject({ format: 'pcap', records: 49_928, badRecords: 0 });
    const notes = log?.notes.join(' ') ?? '';
    /* −1,197,906.557 s at frame 973 and back at 1404: 431 frames of another week. */
    expect(notes).toContain('2022-11-16');
    expect(notes).toMatch(/during 431 records/);
    const headings = day.channels.filter(({ id, source }) => id.startsWith('heading') && source.pgn === 127250);
    expect(headings.reduce((sum, { time }) => sum + time.length, 0)).toBe(1788);
    expect(headings.some(({ source }) => source.note === 'while the clock was far off')).toBe(true);
    expect(day.duration).toBeLessThan(120);
  });

  test('the first 3,000 frames as pcapng are the same frames', async () => {
    const classic = await record(pcap, new Uint8Array(readFileSync(place('n2k/can0-1.pcap'))));
    const next = await record(pcapng, new Uint8Array(readFileSync(place('n2k/can0-1-first3000.pcapng'))));
    expect(next.frames).toHaveLength(3000);
    expect(next.frames).toEqual(classic.frames.slice(0, 3000));
  });
});

describe.skipIf(!hasRealLogs)('AgIsoStack bus: encoded and decoded by another program', () => {
  type Decoded = Readonly<Record<string, number | string>>;
  const DEVICE = 128;
  const decodedAs = (kind: string, field: string): readonly number[] => {
    const lines = jsonLines<Decoded>('isobus/agisostack-bus/agisostack-decoded.jsonl.gz').filter((line) => line['kind'] === kind);
    return lines.map((line) => Number(line[field]));
  };
  /* Its listener joined the bus 2.1 s after the recorder and left before it; both heard a message within 50 ms. */
  const heardFrom = ({ time, value }: Channel, joined: number): readonly number[] => [...value].slice(time.findIndex((at) => at > joined - 0.05));

  test.each([
    ['wheel', 'speed_mm_s', 'wheel.speed', 0.001, 714], ['wheel', 'dist_mm', 'wheel.distance', 0.001, 714], ['ground', 'speed_mm_s', 'ground.speed', 0.001, 714],
    ['ground', 'dist_mm', 'ground.distance', 0.001, 714], ['selected', 'speed_mm_s', 'selected.speed', 0.001, 714], ['pos', 'lat_raw', 'gnss.lat', 1e-7, 714], ['pos', 'lon_raw', 'gnss.lon', 1e-7, 714],
    ['cogsog', 'sog_raw', 'gnss.speed', 0.01, 286], ['cogsog', 'cog_raw', 'gnss.course', 1e-4, 286],
  ] as const)('%s %s: each value equal', async (kind, field, id, factor, count) => {
    const wanted = decodedAs(kind, field);
    expect(wanted).toHaveLength(count);
    const day = await readDay('isobus/agisostack-bus/bus.log');
    const channel = channelOf(day, id, ({ source }) => source.pgn !== 129029);
    expect(channel.time.length).toBeGreaterThan(count);
    const found = heardFrom(channel, (decodedAs(kind, 't')[0] as number) - day.start);
    wanted.forEach((raw, i) => expect(found[i]).toBeCloseTo(raw * factor, 9));
  });

  test('278 process-data values: each equal, in the order sent', async () => {
    const day = await readDay('isobus/agisostack-bus/bus.log');
    expect(day.logs[0]?.records).toBe(5303);
    const messages = jsonLines<Decoded>('isobus/agisostack-bus/agisostack-decoded.jsonl.gz').filter((line) => line['kind'] === 'tcValue');
    expect(messages).toHaveLength(278);
    expect(new Set(messages.map((line) => line['src']))).toEqual(new Set([DEVICE]));
    /* Raw numbers per SI unit, ISO 11783-11: 11 and 12 in 0.001/m², 67 in mm; the rest are counts and states. */
    const perUnit: Readonly<Record<number, number>> = { 11: 1000, 12: 1000, 67: 1000 };
    let compared = 0;
    for (const key of new Set(messages.map((line) => `${line['element']}/${line['ddi']}`))) {
      const [element, ddi] = key.split('/').map(Number) as [number, number];
      const wanted = messages.filter((line) => line['element'] === element && line['ddi'] === ddi).map((line) => Number(line['value']));
      const found = day.channels.filter(({ source }) => source.sourceAddress === DEVICE && source.element === element && source.ddi === ddi);
      /* Actual condensed work state (161): sixteen sections, two bits each. */
      const states = ddi === 161;
      expect(found, key).toHaveLength(states ? 16 : 1);
      for (const channel of found) {
        const section = Number(/^section\.(\d+)\.actual$/.exec(channel.id)?.[1]);
        const values = wanted.map((raw) => (states ? (raw >>> (section - 1) * 2) & 3 : raw / (perUnit[ddi] ?? 1)));
        expect([...channel.value], `${key} ${channel.id}`).toEqual(values);
      }
      compared += wanted.length;
    }
    expect(compared).toBe(278);
  });

  test('the wheel reads 4 % high from 45 s on', async () => {
    const day = await readDay('isobus/agisostack-bus/bus.log');
    const wheel = channelOf(day, 'wheel.speed');
    const ground = channelOf(day, 'ground.speed');
    const ratio = (from: number, to: number): number => {
      let wheelSum = 0;
      let groundSum = 0;
      for (let i = 0; i < wheel.time.length; i += 1) {
        const t = (wheel.time[i] as number) - (wheel.time[0] as number);
        if (t < from || t > to) continue;
        wheelSum += wheel.value[i] as number;
        groundSum += ground.value[i] as number;
      }
      return wheelSum / groundSum;
    };
    const [before, after] = [ratio(20, 40), ratio(50, 70)];
    expect(after / before).toBeCloseTo(1.04, 2);
  });
});
