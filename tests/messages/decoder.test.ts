import * as fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { createFrameBatch } from '../../src/formats/log-format.ts';
import { createDecoder } from '../../src/messages/decoder.ts';
import { knownMessages } from '../../src/messages/known-messages.ts';
import { isKnownChannel } from '../../shared/channel-names.ts';
import type { SignalDefinition } from '../../src/messages/signal-definition.ts';
import { bytes, decode, decodeLines, frameOf, seeded, valuesOf } from './bus-lines.ts';

/** Two bytes, little-endian. */
const hex16 = (value: number): string => [value & 0xff, value >> 8].map((byte) => byte.toString(16).toUpperCase().padStart(2, '0')).join('');

describe('frames', () => {
  test('senders and buses are kept apart; the one with more values comes first', () => {
    const log = decode([
      frameOf('(1.000000) can0 0CFE4846#E803000000000000'), frameOf('(2.000000) can1 0CFE4846#D007000000000000'), frameOf('(3.000000) can1 0CFE4846#B80B000000000000'),
      frameOf('(4.000000) can0 0CFE4847#A00F000000000000'),
    ]);
    const speeds = log.channels.filter((channel) => channel.id === 'wheel.speed').map((channel) => [channel.source.bus, channel.source.sourceAddress, ...channel.value]);
    expect(speeds[0]).toEqual(['can1', 0x46, 2, 3]);
    expect(speeds).toHaveLength(3);
  });

  test('priority and destination do not part what one sender says', () => {
    expect(valuesOf(decode([frameOf('0CFE4846#E803', 0), frameOf('18FE4846#D007', 1)]), 'wheel.speed')).toEqual([1, 2]);
  });

  test('what fills one channel keeps its order, whichever identifier, transfer or selector it came by', () => {
    const count = 1000;
    const random = seeded(4);
    const byPriority = Array.from({ length: count }, (_, i) => frameOf(`${random() < 0.5 ? '0C' : '18'}FE4846#${hex16(i)}`, i));
    expect(valuesOf(decode(byPriority), 'wheel.speed')).toEqual(byPriority.map((_, i) => i * 0.001));

    /* The same group now as a frame, now by transfer: 9 bytes announced to all, then two packets. */
    const byTransfer = Array.from({ length: count }, (_, i) => (random() < 0.5 ? [frameOf(`0CFE4846#${hex16(i)}`, i)]
      : ['18ECFF46#20090002FF48FE00', `18EBFF46#01${hex16(i)}FFFFFFFFFF`, '18EBFF46#02FFFFFFFFFFFFFF'].map((line) => frameOf(line, i)))).flat();
    expect(valuesOf(decode(byTransfer), 'wheel.speed')).toEqual(byPriority.map((_, i) => i * 0.001));

    const half = (equals: number, startBit: number): SignalDefinition => ({ channel: 'run.1.count', unit: '1/s', pgn: 65_345, startBit, length: 16, selector: { startBit: 0, length: 8, equals }, trust: 100 });
    const bySelector = Array.from({ length: count }, (_, i) => frameOf(random() < 0.5 ? `18FF4127#01${hex16(i)}FFFF` : `18FF4127#02FFFF${hex16(i)}`, i));
    expect(valuesOf(decode(bySelector, [half(1, 8), half(2, 24)]), 'run.1.count')).toEqual(bySelector.map((_, i) => i));
  });

  test('a frame too short for a signal holds no value of it, among many that do', () => {
    const lengths = Array.from({ length: 500 }, (_, i) => (i % 7 === 3 ? '0CFE4846#E8' : '0CFE4846#E803'));
    expect(valuesOf(decodeLines(lengths), 'wheel.speed')).toEqual(lengths.map((_, i) => (i % 7 === 3 ? Number.NaN : 1)));
  });

  test('times stay as logged, also where the clock was set back', () => {
    const log = decode([100, 101, 50, 51].map((time) => frameOf('0CFE4846#E803', time)));
    expect([...log.channels[0]?.time ?? []]).toEqual([100, 101, 50, 51]);
  });

  test('the batch may be reused at once', () => {
    const batch = createFrameBatch();
    const decoder = createDecoder({ file: 'a', busNames: () => ['can0'], signals: [] });
    for (const speed of [1000, 2000]) {
      batch.count = 1;
      batch.time[0] = speed;
      batch.id[0] = 0x8cfe4846;
      batch.length[0] = 8;
      batch.data.fill(0).set([speed & 0xff, speed >> 8]);
      decoder.frames(batch);
      batch.data.fill(0xff);
    }
    expect(valuesOf(decoder.finish(), 'wheel.speed')).toEqual([1, 2]);
  });

  test('more identifiers than a bus can have are counted, not kept', () => {
    const log = decode(Array.from({ length: 70_000 }, (_, i) => ({ time: i, id: 0x18ff0000 + i, data: new Uint8Array(8) })));
    expect(log.messages.reduce((sum, message) => sum + message.count, 0)).toBe(65_536);
    expect(log.notes).toEqual(['4464 frames were not looked at: more than 65536 different identifiers is not a working bus.']);
  });
});

describe('whole messages', () => {
  const whole = (pgn: number, hex: string, time = 1): Parameters<ReturnType<typeof createDecoder>['message']>[0] => ({ time, bus: 0, priority: 3, pgn, source: 35, destination: 255, data: bytes(hex) });

  test('a fast packet given whole is not put together again', () => {
    const decoder = createDecoder({ file: 'a', busNames: () => ['n2k'], signals: [] });
    /* canboat recombine-frames: 42.4967684, −71.5836637, GNSS fix, 8 satellites, HDOP 1.11 */
    decoder.message(whole(129029, 'E7953D0073D62900DA0473DBC9E50580 7D02285FD610F69B506C050000000013FC086F00BE00DDF2FFFF00FFFFFFFF'));
    decoder.message(whole(129025, 'C0CAB21E80969800'));
    decoder.message(whole(65254, 'CC0F060B61297D77', Date.UTC(2026, 10, 25, 6, 15, 50) / 1000));
    const log = decoder.finish();
    const first = (id: string, pgn: number): number | undefined => log.channels.find((channel) => channel.id === id && channel.source.pgn === pgn)?.value[0];
    expect(first('gnss.lat', 129029)).toBeCloseTo(42.4967684, 7);
    expect(first('gnss.lon', 129029)).toBeCloseTo(-71.5836637, 7);
    expect([first('gnss.fix', 129029), first('gnss.sats', 129029), first('gnss.hdop', 129029)]).toEqual([1, 8, 1.11]);
    expect(first('gnss.lon', 129025)).toBe(1);
    expect(first('clock.offset', 65254)).toBe(1);
    expect(log.messages.map((message) => [message.pgn, message.sourceAddress, message.count])).toEqual([[65254, 35, 1], [129025, 35, 1], [129029, 35, 1]]);
  });

  test('a message cut short gives what it holds', () => {
    const decoder = createDecoder({ file: 'a', busNames: () => ['n2k'], signals: [] });
    decoder.message(whole(129029, 'E7953D0073D62900DA0473DBC9E505'));
    const log = decoder.finish();
    expect(log.channels.map((channel) => channel.id)).toEqual(['gnss.lat']);
  });
});

test('every channel of the tables is a known channel', () => {
  const named = knownMessages.flatMap((message) => message.signals.map((signal) => signal.channel));
  expect(named.length).toBeGreaterThan(30);
  expect(named.filter((name) => !isKnownChannel(name))).toEqual([]);
});

test('whatever is on the bus: no exception, every frame counted, finite or NaN values only', () => {
  const groups = [...knownMessages.map((message) => message.pgn), 60928, 60416, 60160, 51200, 50944, 51968, 126992, 129033, 65254, 126720];
  const frame = fc.record({
    time: fc.double({ min: 0, max: 1e9 }),
    id: fc.oneof(fc.nat({ max: 0x1fffffff }), fc.tuple(fc.constantFrom(...groups), fc.nat({ max: 3 }), fc.nat({ max: 7 })).map(([pgn, source, priority]) => (priority << 26 | pgn << 8 | source) >>> 0)),
    isExtended: fc.boolean(), bus: fc.constantFrom('can0', 'can1'), data: fc.uint8Array({ maxLength: 8 }),
  });
  fc.assert(fc.property(fc.array(frame, { maxLength: 400 }), (frames) => {
    const log = decode(frames.map((one) => ({ ...one, id: one.isExtended ? one.id : one.id & 0x7ff })));
    expect(log.messages.reduce((sum, message) => sum + message.count, 0)).toBeGreaterThanOrEqual(frames.length);
    for (const channel of log.channels) {
      if (channel.value.some((value) => value === Number.POSITIVE_INFINITY || value === Number.NEGATIVE_INFINITY)) throw new Error(channel.id);
      if (channel.time.length !== channel.value.length) throw new Error(channel.id);
    }
  }), { numRuns: 150, seed: 21 });
});

test('claims that never stop, on a bus of 60,000 identifiers, cost no more than their own senders', () => {
  const noise = Array.from({ length: 60_000 }, (_, i) => ({ time: 0, id: 0x18ff0001 + (i << 8), data: new Uint8Array(8) }));
  const claims = Array.from({ length: 20_000 }, (_, i) => frameOf(`18EEFF80#0${i % 2}00E0AF008008A0`, i));
  /* Preparing every identifier anew at each claim would take hours. */
  expect(decode([...noise, ...claims, frameOf('0CFE4880#E803', 30_000)]).channels.map((channel) => channel.source.name)).toEqual(expect.arrayContaining(['a0088000afe00001']));
});

test('of a million frames of a working bus every one is counted', () => {
  const random = seeded(9);
  const batch = createFrameBatch(65_536);
  const ids = [0x8cfe48f0, 0x8cfe49f0, 0x98ff1234, 0x89f8011c, ...Array.from({ length: 12 }, (_, i) => 0x98ff5520 + i * 256)];
  for (let i = 0; i < batch.id.length; i++) {
    batch.time[i] = i / 1000;
    batch.id[i] = ids[i % ids.length] ?? 0;
    batch.length[i] = 8;
    batch.data[i * 8] = Math.floor(random() * 250);
  }
  batch.count = batch.id.length;
  const decoder = createDecoder({ file: 'a', busNames: () => ['can0'], signals: [] });
  for (let n = 0; n < 16; n++) decoder.frames(batch);
  expect(decoder.finish().messages.reduce((sum, message) => sum + message.count, 0)).toBe(16 * 65_536);
});
