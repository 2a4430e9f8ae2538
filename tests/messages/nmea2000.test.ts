import { FromPgn } from '@canboat/canboatjs';
import { describe, expect, test } from 'vitest';
import type { Channel } from '../../shared/channel.ts';
import { knownMessages } from '../../src/messages/known-messages.ts';
import { decode, hasRealLogs, realText, REAL_LOGS, seeded, type TestFrame } from './bus-lines.ts';
import { capturedFrames, numberOf, screenFrames, type Fields } from './nmea2000-reference.ts';

/** What each field is expected to become, stated apart from the decoder's own table. All units are SI on both sides. */
const EXPECTED: Readonly<Record<number, readonly (readonly [field: string, label: string, channel: string, when?: (fields: Fields) => boolean])[]>> = {
  129025: [['latitude', 'Latitude', 'gnss.lat'], ['longitude', 'Longitude', 'gnss.lon']],
  129026: [
    ['cog', 'COG', 'gnss.course', (fields) => [0, 3].includes(numberOf(fields, 'cogReference', 'COG Reference') ?? 3)],
    ['cog', 'COG', 'gnss.course.magnetic', (fields) => numberOf(fields, 'cogReference', 'COG Reference') === 1],
    ['sog', 'SOG', 'gnss.speed'],
  ],
  129029: [
    ['latitude', 'Latitude', 'gnss.lat'], ['longitude', 'Longitude', 'gnss.lon'], ['method', 'Method', 'gnss.fix'],
    ['numberOfSvs', 'Number of SVs', 'gnss.sats'], ['hdop', 'HDOP', 'gnss.hdop'],
  ],
  129539: [['hdop', 'HDOP', 'gnss.hdop']],
  127250: [
    ['heading', 'Heading', 'heading', (fields) => numberOf(fields, 'reference', 'Reference') === 0],
    ['heading', 'Heading', 'heading.magnetic', (fields) => numberOf(fields, 'reference', 'Reference') === 1],
  ],
  127257: [['pitch', 'Pitch', 'pitch'], ['roll', 'Roll', 'roll']],
  130310: [['outsideAmbientAirTemperature', 'Outside Ambient Air Temperature', 'air.temperature']],
  130311: [['temperature', 'Temperature', 'air.temperature', (fields) => numberOf(fields, 'temperatureSource', 'Temperature Source') === 1]],
  130312: [['actualTemperature', 'Actual Temperature', 'air.temperature', (fields) => numberOf(fields, 'source', 'Source') === 1]],
  130316: [['temperature', 'Temperature', 'air.temperature', (fields) => numberOf(fields, 'source', 'Source') === 1]],
};

/** Published range of a field: canboatjs checks only its upper end, and neither for lists. */
const RANGE: Readonly<Record<string, readonly [number, number]>> = {
  latitude: [-90, 90], longitude: [-180, 180], pitch: [-Math.PI, Math.PI], roll: [-Math.PI, Math.PI], method: [0, 13],
};

const inRange = (field: string, value: number | undefined): number => {
  const [least, most] = RANGE[field] ?? [Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY];
  return value === undefined || value < least || value > most ? Number.NaN : value;
};

/**
 * Values of one quantity from one address as decoded, those not available included. Where several devices claimed the
 * address in turn (the simulator does) there is a channel for each; together they are in the order of time.
 */
function decodedValues(channels: readonly Channel[], id: string, pgn: number, address: number): readonly number[] {
  const found = channels.filter((channel) => channel.id === id && channel.source.pgn === pgn && channel.source.sourceAddress === address);
  const samples = found.flatMap((channel) => Array.from(channel.time, (time, i) => ({ time, value: channel.value[i] as number })));
  return (found.length > 1 ? samples.toSorted((a, b) => a.time - b.time) : samples).map((sample) => sample.value);
}

/** Places where two columns differ by more than `tolerance`. */
function differences(found: readonly number[], wanted: readonly number[], tolerance: number): readonly string[] {
  if (found.length !== wanted.length) return [`${found.length} values instead of ${wanted.length}`];
  const isSame = (a: number, b: number): boolean => (Number.isNaN(a) ? Number.isNaN(b) : Math.abs(a - b) <= tolerance);
  return wanted.flatMap((value, i) => (isSame(found[i] as number, value) ? [] : [`${i}: ${found[i]} instead of ${value}`]));
}

/** Floating point only. */
const EXACT = 1e-9;
/** The C decoder prints seven decimals of a degree. */
const PRINTED = 5.1e-8;

const SINGLE = 8;
const SOURCE = 35;
const MESSAGES = 600;

/** Random payloads; every fourth has bytes near 'not available', and list fields come often as the values that matter. */
function payloads(pgn: number, length: number): Uint8Array[] {
  const random = seeded(pgn);
  return Array.from({ length: MESSAGES }, (_, n) => {
    const data = Uint8Array.from({ length }, () => Math.floor(random() * 256));
    if (n % 4 === 0) for (let i = 0; i < length; i++) if (random() < 0.7) data[i] = 0xff - (i % 2 === 0 ? Math.floor(random() * 4) : random() < 0.5 ? 0x80 : 0);
    if (n % 4 === 1) data.fill(0xff);
    if (n % 2 === 0) for (const at of [1, 2, 7]) data[at] = (data[at] as number) & ~3 | (random() < 0.6 ? 1 : 0);
    if (n % 3 === 0 && length >= SINGLE) data[2] = 1;
    /* temperature source is six bits of byte 2 */
    if (n % 5 === 0) data[1] = 1;
    /* canboatjs loses the last valid HDOP, 327.64, because 327.64 / 0.01 is a little less than 32764 in floating point. */
    const hdop = pgn === 129029 ? 34 : 2;
    if (data[hdop] === 0xfc) data[hdop] = 0xfb;
    return data;
  });
}

function frames(pgn: number, payload: Uint8Array, counter: number, time: number): TestFrame[] {
  const id = 3 << 26 | (pgn & 0x1ffff) << 8 | SOURCE;
  if (pgn !== 129029) return [{ time, id, data: payload }];
  const count = 1 + Math.floor(payload.length / 7);
  return Array.from({ length: count }, (_, n) => {
    const data = new Uint8Array(SINGLE).fill(0xff);
    data[0] = (counter & 7) << 5 | n;
    if (n === 0) data[1] = payload.length;
    data.set(n === 0 ? payload.subarray(0, 6) : payload.subarray(6 + (n - 1) * 7, 13 + (n - 1) * 7), n === 0 ? 2 : 1);
    return { time: time + n * 0.001, id, data };
  });
}

describe('NMEA 2000 against canboatjs, random frames', () => {
  test('every NMEA 2000 message we decode is compared', () => {
    const ours = knownMessages.filter((message) => message.clause.startsWith('NMEA 2000')).map((message) => message.pgn);
    expect(Object.keys(EXPECTED).map(Number).toSorted((a, b) => a - b)).toEqual(ours.toSorted((a, b) => a - b));
  });

  test.each(Object.keys(EXPECTED).map(Number))('PGN %i', (pgn) => {
    const parser = new FromPgn({ resolveEnums: false, returnNulls: true, format: 0 });
    const reference: Fields[] = [];
    parser.on('error', (_: unknown, error: unknown) => { throw new Error(String(error)); });
    parser.on('pgn', (message: { readonly fields: Fields }) => reference.push(message.fields));
    const stream = payloads(pgn, pgn === 129029 ? 47 : SINGLE).flatMap((payload, n) => frames(pgn, payload, n, n));
    for (const frame of stream) {
      parser.parse({ pgn: { pgn, src: SOURCE, dst: 255, prio: 3, timestamp: '2026-01-01T00:00:00.000Z' }, length: SINGLE, data: Buffer.from(frame.data), coalesced: false }, () => {});
    }
    expect(reference).toHaveLength(MESSAGES);
    const { channels } = decode(stream);
    for (const [field, , id, when] of EXPECTED[pgn] ?? []) {
      const wanted = reference.filter((fields) => when?.(fields) ?? true).map((fields) => inRange(field, numberOf(fields, field, field)));
      expect(wanted.filter((value) => !Number.isNaN(value)).length, `${field} has values to compare`).toBeGreaterThan(20);
      expect(wanted.filter(Number.isNaN).length, `${field} is sometimes not available`).toBeGreaterThan(5);
      expect(differences(decodedValues(channels, id, pgn, SOURCE), wanted, EXACT)).toEqual([]);
    }
  });
});

/** One line of the reference, as the C analyzer printed it. */
interface ReferenceLine {
  readonly pgn: number;
  readonly src: number;
  /** Absent when no field is available. */
  readonly fields?: Fields;
}

const RECORDINGS = [
  ['can0-1.pcap', 6000, () => capturedFrames(`${REAL_LOGS}/n2k/can0-1.pcap`)],
  ['candumpSample1.txt', 1500, () => screenFrames(realText('n2k/candumpSample1.txt'))],
  ['candumpSample2.txt', 100, () => screenFrames(realText('n2k/candumpSample2.txt'))],
  ['candumpSample3.txt', 400, () => screenFrames(realText('n2k/candumpSample3.txt'))],
  ['simulator2.raw', 300, () => screenFrames(realText('n2k/simulator2.raw'))],
] as const;

describe.skipIf(!hasRealLogs)('NMEA 2000 recordings against the C decoder of canboat', () => {
  test.each(RECORDINGS)('%s', (name, least, read) => {
    const { channels } = decode(read());
    const lines = realText(`n2k/ref/${name}.canboat-analyzer.jsonl.gz`).trim().split('\n').slice(1).map((line) => JSON.parse(line) as ReferenceLine);
    let compared = 0;
    const wrong: string[] = [];
    for (const key of new Set(lines.filter((line) => EXPECTED[line.pgn] !== undefined).map((line) => `${line.pgn}/${line.src}`))) {
      const [pgn = 0, source = 0] = key.split('/').map(Number);
      const messages = lines.filter((line) => line.pgn === pgn && line.src === source);
      for (const [field, label, id, when] of EXPECTED[pgn] ?? []) {
        const wanted = messages.filter((message) => when?.(message.fields ?? {}) ?? true).map((message) => inRange(field, numberOf(message.fields ?? {}, field, label)));
        const found = decodedValues(channels, id, pgn, source);
        compared += wanted.length;
        /* A column without one value is no channel. */
        const whole = found.length === 0 ? wanted.map(() => Number.NaN) : found;
        wrong.push(...differences(whole, wanted, PRINTED).map((difference) => `${key} ${id} ${difference}`));
      }
    }
    expect(wrong).toEqual([]);
    expect(compared).toBeGreaterThan(least);
  });
});
