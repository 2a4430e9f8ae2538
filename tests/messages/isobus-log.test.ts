import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { parseDeviceDescription } from '../../src/messages/device-description.ts';
import { formatIdentifier, parseIdentifier } from '../../src/messages/identifier.ts';
import { ETP_CONTROL, ETP_DATA, createTransport } from '../../src/messages/transport.ts';
import { REAL_LOGS, channel, decode, frameOf, hasRealLogs, realText, valuesOf, type TestFrame } from './bus-lines.ts';

/** Encoded and decoded by AgIsoStack++ (MIT) on two ends of a virtual bus. */
const FOLDER = 'isobus/agisostack-bus';

interface Decoded {
  readonly t: number;
  readonly kind: string;
  readonly speed_mm_s: number;
  readonly dist_mm: number;
  readonly startStop: number;
  readonly source: number;
  readonly cog_raw: number;
  readonly sog_raw: number;
  readonly lat_raw: number;
  readonly lon_raw: number;
  readonly lat: number;
  readonly lon: number;
  readonly sv: number;
  readonly method: number;
  readonly iso: string;
  readonly ddi: number;
  readonly element: number;
  readonly value: number;
}

const reference = (kind: string): Decoded[] =>
  realText(`${FOLDER}/agisostack-decoded.jsonl.gz`).trim().split('\n').map((line) => JSON.parse(line) as Decoded).filter((line) => line.kind === kind);

const frames = (): TestFrame[] => realText(`${FOLDER}/bus.log`).trim().split('\n').map((line) => frameOf(line));

describe.skipIf(!hasRealLogs)('a bus recorded by AgIsoStack++', () => {
  const log = hasRealLogs ? decode(frames()) : decode([]);

  /* The stack stopped listening 2.4 s before the sender stopped sending: its 714 are our first ones. */
  test.each([
    ['wheel.speed', 'wheel', (line: Decoded) => line.speed_mm_s / 1000], ['wheel.distance', 'wheel', (line: Decoded) => line.dist_mm / 1000],
    ['ground.speed', 'ground', (line: Decoded) => line.speed_mm_s / 1000], ['ground.distance', 'ground', (line: Decoded) => line.dist_mm / 1000],
    ['selected.speed', 'selected', (line: Decoded) => line.speed_mm_s / 1000], ['selected.source', 'selected', (line: Decoded) => line.source],
    ['gnss.course', 'cogsog', (line: Decoded) => line.cog_raw * 1e-4], ['gnss.speed', 'cogsog', (line: Decoded) => line.sog_raw * 0.01],
    ['gnss.lat', 'pos', (line: Decoded) => line.lat_raw * 1e-7], ['gnss.lon', 'pos', (line: Decoded) => line.lon_raw * 1e-7],
    ['gnss.fix', 'gnss', (line: Decoded) => line.method], ['gnss.sats', 'gnss', (line: Decoded) => line.sv],
  ] as const)('%s', (id, kind, value) => {
    const expected = reference(kind).map(value);
    expect(expected.length).toBeGreaterThanOrEqual(73);
    const found = valuesOf(log, id).slice(0, expected.length);
    expect(expected.map((number, i) => Math.abs(number - (found[i] ?? Number.NaN))).filter((error) => !(error < 1e-9))).toEqual([]);
  });

  test('latitude and longitude of the slow position message', () => {
    const expected = reference('gnss');
    for (const id of ['gnss.lat', 'gnss.lon']) {
      const slow = log.channels.find((found) => found.id === id && found.source.pgn === 129029);
      const found = [...slow?.value ?? []].slice(0, expected.length);
      expect(expected.map(({ lat, lon }, i) => Math.abs((id === 'gnss.lat' ? lat : lon) - (found[i] ?? Number.NaN))).filter((error) => !(error < 1e-9))).toEqual([]);
    }
    expect(log.channels.find((found) => found.id === 'gnss.lat')?.source.pgn).toBe(129025);
  });

  test('all 278 process data values, as a set', () => {
    const expected = reference('tcValue').map((line) => `${line.element}/${line.ddi}/${line.value}`);
    const raw = frames().flatMap(({ id, data }) => {
      const parts = parseIdentifier((id | 0x80000000) >>> 0);
      const isValue = parts?.pgn === 51968 && parts.source === 128 && parts.destination === 0xf7 && ((data[0] as number) & 15) === 3;
      return isValue ? [`${(data[0] as number) >> 4 | (data[1] as number) << 4}/${(data[2] as number) | (data[3] as number) << 8}`] : [];
    });
    expect(raw).toHaveLength(278);
    /* What the decoder made of them: its columns hold every one, in the unit of the dictionary. */
    const columns = log.channels.filter((found) => found.source.pgn === 51968 && found.source.sourceAddress === 128 && found.source.derivedFrom === undefined && !found.id.startsWith('section.'));
    const values = columns.flatMap((found) => [...found.value].map((value) => `${found.source.element}/${found.source.ddi}/${value}`));
    const inSi = (line: string): string => {
      const [element, ddi, value = 0] = line.split('/').map(Number);
      const factor = ddi === 67 ? 0.001 : ddi === 11 || ddi === 12 ? 0.001 : 1;
      return `${element}/${ddi}/${value * factor}`;
    };
    const condensed = expected.filter((line) => line.includes('/161/'));
    expect(values.toSorted()).toEqual(expected.filter((line) => !condensed.includes(line)).map(inSi).toSorted());
    expect(condensed).toHaveLength(15);
  });

  test('sections: set by the controller, reported by the device, as the bits say', () => {
    const sets = reference('setSections').map((line) => line.value >>> 0);
    const actual = reference('tcValue').filter((line) => line.ddi === 161).map((line) => line.value >>> 0);
    for (let n = 1; n <= 16; n++) {
      const state = (value: number): number => (value >>> ((n - 1) * 2)) & 3;
      const on = log.channels.find((found) => found.id === `section.${n}.on` && found.source.sourceAddress === 0xf7);
      expect([...on?.value ?? []]).toEqual(sets.map(state).filter((value) => value !== 3));
      const reported = log.channels.find((found) => found.id === `section.${n}.actual`);
      expect([...reported?.value ?? []]).toEqual(actual.map(state).filter((value) => value !== 3));
    }
  });

  test('the object pool arrives byte for byte', () => {
    const received: Uint8Array[] = [];
    const transport = createTransport(() => true, (pgn, _address, _time, data) => {
      if (pgn === 51968) received.push(data);
    });
    for (const { id, time, data } of frames()) {
      const parts = parseIdentifier((id | 0x80000000) >>> 0);
      if (parts !== undefined && (parts.pgn === ETP_CONTROL || parts.pgn === ETP_DATA)) transport.push(parts.pgn, { bus: 0, ...parts }, time, data, 0);
    }
    expect(received).toHaveLength(1);
    expect(received[0]?.[0]).toBe(0x61);
    const digest = (data: Uint8Array): string => createHash('sha256').update(data).digest('hex');
    expect(digest(received[0]?.subarray(1) ?? new Uint8Array())).toBe(digest(readFileSync(`${REAL_LOGS}/${FOLDER}/ddop.bin`)));
    expect(transport.openSessions()).toBe(0);
  });

  test('the object pool names the elements', () => {
    const description = parseDeviceDescription(readFileSync(`${REAL_LOGS}/${FOLDER}/ddop.bin`));
    expect(description).toMatchObject({ designator: 'Isobus Seeder', softwareVersion: '1.0.0', name: 'a0088000afe00002' });
    const count = (type: string): number => description?.elements.filter((element) => element.type === type).length ?? 0;
    expect([count('device'), count('connector'), count('function'), count('bin'), count('section')]).toEqual([1, 1, 1, 1, 16]);
    expect(channel(log, 'implement.width').source).toMatchObject({ ddi: 67, element: 2 });
    expect(valuesOf(log, 'implement.working')).toEqual(expect.arrayContaining([0, 1]));
  });

  test('the clock of the log agrees with the time on the bus within its 0.25 s and the delays', () => {
    const offsets = log.channels.filter((found) => found.id === 'clock.offset' && found.source.pgn === 65254).flatMap((found) => [...found.value]);
    expect(offsets).toHaveLength(8);
    expect(Math.max(...offsets.map(Math.abs))).toBeLessThan(1.3);
  });

  test('nothing was lost', () => expect(log.notes.filter((note) => /Fast packets|Long transfers|could not be read/.test(note))).toEqual([]));
});

test('the pool is refused when it is cut or spoilt', () => {
  expect(parseDeviceDescription(new Uint8Array())).toBeUndefined();
  expect(parseDeviceDescription(new TextEncoder().encode('XYZ12'))).toBeUndefined();
  const whole = new TextEncoder().encode('DVC\0\0\u0002ab\u00011AAAAAAAA\u00001234567ABCDEFG');
  expect(parseDeviceDescription(whole)).toMatchObject({ designator: 'ab', softwareVersion: '1', name: '4141414141414141', elements: [] });
  for (let length = 1; length < whole.length - 1; length++) expect(parseDeviceDescription(whole.subarray(0, length))).toBeUndefined();
  expect(formatIdentifier({ priority: 3, pgn: 51968, source: 128, destination: 0xf7 })).toBe(0x8ccbf780);
});
