import { describe, expect, test } from 'vitest';
import { readTimeDate } from '../../src/messages/decoders/time-date.ts';
import { messageName } from '../../src/messages/known-messages.ts';
import { bytes, channel, decode, decodeLines, frameOf, valuesOf } from './bus-lines.ts';

type Expected = Readonly<Record<string, number>>;

/** Payload → values in SI; NaN = not available. */
const CASES: readonly (readonly [title: string, line: string, expected: Expected])[] = [
  /* AgIsoStack++ test/speed_distance_message_tests.cpp */
  ['65096 ISO 11783-7 B.3: 4 m/s, 965.742 m, master switch on', '0CFE4846#A00F6EBC0E00C855', { 'wheel.speed': 4, 'wheel.distance': 965.742, 'implement.working': 1 }],
  ['65096: speed in error (0xFExx), distance valid, switch in error', '0CFE4846#00FE00000000FFEF', { 'wheel.speed': Number.NaN, 'wheel.distance': 0 }],
  ['65096: last valid speed 64.255 m/s, distance not available', '0CFE4846#FFFAFFFFFFFFFFFF', { 'wheel.speed': 64.255, 'wheel.distance': Number.NaN, 'implement.working': Number.NaN }],
  ['65096: last valid distance 4 211 081.215 m', '0CFE4846#00FBFFFFFFFAFFFF', { 'wheel.speed': Number.NaN, 'wheel.distance': 4_211_081.215 }],
  ['65097 ISO 11783-7 B.2', '0CFE49F0#D0070A000000FFFD', { 'ground.speed': 2, 'ground.distance': 0.01 }],
  ['61474 ISO 11783-7 B.28.1: simulated', '0CF022F0#E8030A000000FF11', { 'selected.speed': 1, 'selected.source': 4 }],
  ['61474: source not available (7)', '0CF022F0#E8030A000000FF1D', { 'selected.speed': 1, 'selected.source': Number.NaN }],
  ['65265 SAE J1939-71 CCVS1: 2560 / 256 km/h', '18FEF100#FF000AFFFFFFFFFF', { 'drive.speed': 10 / 3.6 }],
  ['65265: 0xFB00 is beyond the valid range', '18FEF100#FF00FBFFFFFFFFFF', { 'drive.speed': Number.NaN }],
  ['65256 SAE J1939-71 VDS: 90°, 18 km/h, level', '18FEE81C#002D001200640000', { 'gnss.course': Math.PI / 2, 'gnss.speed': 5, 'pitch': 0 }],
  /* 2 615 000 000 × 1e-7 − 210 = 51.5: above 2^31, read as signed it would be negative. */
  ['65267 SAE J1939-71 VP: unsigned degrees', '18FEF31C#C0BBDD9B60EE297D', { 'gnss.lat': 51.5, 'gnss.lon': -0.01 }],
  ['65267: not available', '18FEF31C#FFFFFFFFFFFFFFFF', { 'gnss.lat': Number.NaN, 'gnss.lon': Number.NaN }],
  /* canboat analyzer/tests/j1939-pgn-test: 0x038A × 0.125 = 113.25 rpm, printed 113.2 */
  ['61444 SAE J1939-71 EEC1', '0CF00400#FFFFFF8A03FFFFFF', { 'engine.speed': 113.25 }],
  ['61444: not available', '0CF00400#FFFFFFFFFFFFFFFF', { 'engine.speed': Number.NaN }],
  ['65262 SAE J1939-71 ET1: (0x2520 / 32 − 273) °C', '18FEEE00#3E FF 20 25 FF FF FF FF'.replaceAll(' ', ''), { 'engine.oil.temperature': 0x2520 / 32 + 0.15 }],
  ['65269 SAE J1939-71 AMB: 20 °C', '18FEF500#CBFFFFA024FFFFFF', { 'air.temperature': 293.15 }],
  ['65128: hydraulic oil 4 °C', '18FE6800#2CFFFFFFFFFFFFFF', { 'oil.temperature': 277.15 }],
  ['65272: transmission oil 60 °C', '18FEF800#FFFFFFFFA029FFFF', { 'oil.temperature': 333.15 }],
  ['65093 ISO 11783-7 B.6: rear hitch in work', '0CFE45F0#00 7F FFFFFFFFFFFF'.replaceAll(' ', ''), { 'implement.working': 1 }],
  ['65093: error (10)', '0CFE45F0#00BFFFFFFFFFFFFF', { 'implement.working': Number.NaN }],
  ['65094 ISO 11783-7 B.7: front hitch', '0CFE46F0#007FFFFFFFFFFFFF', { 'implement.working': 1 }],
  ['129025 NMEA 2000: 1e-7°', '09F8011C#C0CAB21E80969800', { 'gnss.lat': 51.5033792, 'gnss.lon': 1 }],
  ['129026: true course, 0.01 m/s', '09F8021C#01FC5C3D2C01FFFF', { 'gnss.course': 1.5708, 'gnss.speed': 3 }],
  ['129026: magnetic course is another channel', '09F8021C#01FD5C3D2C01FFFF', { 'gnss.course.magnetic': 1.5708, 'gnss.speed': 3 }],
  ['129026: speed not available (seen 856 times of 856 on a boat)', '09F8021C#01FC5C3DFFFFFFFF', { 'gnss.course': 1.5708, 'gnss.speed': Number.NaN }],
  ['127257: pitch and roll', '0DF11918#00FF7F970079FFFF', { 'pitch': 0.0151, 'roll': -0.0135 }],
  ['130312: outside air 285.56 K', '15FD0823#0000018C6FFFFFFF', { 'air.temperature': 285.56 }],
];

describe('standard messages', () => {
  test.each(CASES)('%s', (_, line, expected) => {
    /* A channel without any value is not made; all others must be exactly those expected. */
    const { channels } = decodeLines([line]);
    const values = Object.entries(expected).filter(([, value]) => !Number.isNaN(value));
    expect(Object.fromEntries(channels.map((found) => [found.id, found.value[0]])))
      .toEqual(Object.fromEntries(values.map(([id, value]) => [id, expect.closeTo(value, 9)])));
  });

  test('not available is a gap in the channel, not a missing sample', () => {
    const log = decodeLines(['0CFE4846#A00F6EBC0E00C855', '0CFE4846#FFFF6EBC0E00C855', '0CFE4846#B00F6EBC0E00C855']);
    expect(valuesOf(log, 'wheel.speed')).toEqual([4, Number.NaN, 4.016]);
    expect([...channel(log, 'wheel.speed').time]).toEqual([0, 1, 2]);
  });

  test('65093: out of work and back; a hitch that never came down says nothing of a towed machine', () => {
    expect(valuesOf(decodeLines(['0CFE45F0#003FFFFFFFFFFFFF', '0CFE45F0#007FFFFFFFFFFFFF']), 'implement.working')).toEqual([0, 1]);
    const idle = decodeLines(['0CFE45F0#003FFFFFFFFFFFFF', '0CFE45F0#003FFFFFFFFFFFFF']);
    expect(idle.channels).toEqual([]);
    expect(idle.notes).toEqual(['A hitch or start/stop switch that never came on was left out of implement.working: it says nothing of a towed machine.']);
  });

  test('130312 of another place than outside makes no channel', () => {
    expect(decodeLines(['15FD0823#0000028C6FFFFFFF']).channels).toEqual([]);
  });

  test('a frame cut short gives no value for what it does not hold', () => {
    const log = decodeLines(['0CFE4846#A00F6E', '0CFE4846#A00F6EBC0E00']);
    expect(valuesOf(log, 'wheel.speed')).toEqual([4, 4]);
    expect(valuesOf(log, 'wheel.distance')).toEqual([Number.NaN, expect.closeTo(965.742, 9)]);
  });

  test('where a number came from can be followed back', () => {
    expect(channel(decodeLines(['0CFE4846#A00F6EBC0E00C855']), 'wheel.speed')).toMatchObject({
      unit: 'm/s', source: { file: 'test.log', bus: 'can0', sourceAddress: 0x46, pgn: 65096, spn: 1862 },
    });
  });

  test('every message of the list is counted and named', () => {
    const { messages } = decodeLines(['18EAFFFE#00EE00', '0CFE4846#A00F6EBC0E00C855', '0CFE4846#A00F6EBC0E00C855', '123#00', '18FF1234#00']);
    expect(messages.map(({ name, pgn, id, count, first, last, decoded }) => ({ name, pgn, id, count, first, last, decoded }))).toEqual([
      { name: '11-bit identifier', pgn: undefined, id: 0x123, count: 1, first: 3, last: 3, decoded: false },
      { name: 'Request', pgn: 59904, id: undefined, count: 1, first: 0, last: 0, decoded: false },
      { name: 'Wheel-based speed and distance', pgn: 65096, id: undefined, count: 2, first: 1, last: 2, decoded: true },
      { name: 'Proprietary, broadcast', pgn: 65298, id: undefined, count: 1, first: 4, last: 4, decoded: false },
    ]);
    expect(messageName(129029)).toBe('GNSS Position Data');
  });
});

describe('time and date 65254 (ISO 11783-7 A.1–A.4)', () => {
  test('AgIsoStack++ frame 18FEE6F0: 2026-11-25 06:15:51 UTC, offset −6 h', () => {
    expect(readTimeDate(bytes('CC0F060B61297D77'), 0)).toEqual({ clock: Date.UTC(2026, 10, 25, 6, 15, 51) / 1000, isLocal: false, localOffset: -360 });
  });
  test('hour offset 250 = the clock sent is local time; 249 = UTC without an offset', () => {
    expect(readTimeDate(bytes('CC0F060B61297DFA'), 0)).toMatchObject({ isLocal: true, localOffset: undefined });
    expect(readTimeDate(bytes('CC0F060B61297DF9'), 0)).toMatchObject({ isLocal: false, localOffset: undefined });
  });
  test.each([[1, 1], [4, 1], [5, 2], [124, 31]])('day %i quarters is day %i', (raw, day) => {
    expect(new Date((readTimeDate(Uint8Array.of(0, 0, 0, 1, raw, 41, 125, 125), 0)?.clock ?? 0) * 1000).getUTCDate()).toBe(day);
  });
  test.each(['FF0F060B61297D77', 'CCFF060B61297D77', 'CC0FFF0B61297D77', 'CC0F06FF61297D77', 'CC0F060B00297D77', 'CC0F060B61FF7D77', 'CC0F060B61FE7D77'])('%s is no time', (hex) => {
    expect(readTimeDate(bytes(hex), 0)).toBeUndefined();
  });
});

describe('notes', () => {
  test('a simulated speed source is told, with when', () => {
    expect(decodeLines(['0CF022F0#E8030A000000FF11']).notes).toEqual(['The selected speed was simulated: the machine did not move as it says, 1970-01-01T00:00:00Z to 1970-01-01T00:00:00Z (address 240 on can0).']);
  });
  test('a channel that is only ever not available is named', () => {
    expect(decodeLines(['18FEF100#FF00FBFFFFFFFFFF']).notes).toEqual(["Sent, but always 'not available': drive.speed."]);
  });
  test('records without a time are left out and counted', () => {
    const log = decode([frameOf('0CFE4846#A00F6EBC0E00C855', 5), frameOf('0CFE4846#A00F6EBC0E00C855', Number.NaN)]);
    expect([...channel(log, 'wheel.speed').time]).toEqual([5]);
    expect(log.notes).toEqual(['Records without a time stamp: 1. Their values cannot be placed in the day and are left out.']);
  });
});
