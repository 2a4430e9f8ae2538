import { describe, expect, test } from 'vitest';
import { dictionaryEntry, stateGroup } from '../../src/messages/data-dictionary.ts';
import { UNITS } from '../../shared/units.ts';
import { decode, frameOf, valuesOf, type TestFrame } from './bus-lines.ts';

const CART = 0x80;
const CONTROLLER = 0xf7;

const hex = (values: readonly number[]): string => values.map((value) => value.toString(16).padStart(2, '0')).join('').toUpperCase();
const little = (value: number, count: number): number[] => Array.from({ length: count }, (_, i) => Math.floor((value < 0 ? value + 2 ** 32 : value) / 256 ** i) & 0xff);
const address = (from: number, to: number): string => `18CB${hex([to, from])}`;

let clock = 0;
/** One process data message; times go on by 10 ms. */
function say(from: number, to: number, command: number, element: number, ddi: number, value: number): TestFrame {
  clock += 0.01;
  return frameOf(`${address(from, to)}#${hex([command | (element & 15) << 4, element >> 4, ...little(ddi, 2), ...little(value, 4)])}`, clock);
}
const report = (element: number, ddi: number, value: number): TestFrame => say(CART, CONTROLLER, 3, element, ddi, value);
const set = (element: number, ddi: number, value: number): TestFrame => say(CONTROLLER, CART, 3, element, ddi, value);
const status = [frameOf('0CCBFFF7#FEFFFFFFFFFFFFFF'), frameOf('18CBF780#FFFFFFFF00000000')];

/* A cart with two tanks, three sections and two rows, as it would describe itself. */
const text = (words: string): number[] => [words.length, ...new TextEncoder().encode(words)];
const tag = (letters: string, id: number): number[] => [...new TextEncoder().encode(letters), ...little(id, 2)];
const element = (id: number, type: number, words: string, number: number, parent: number, objects: readonly number[]): number[] =>
  [...tag('DET', id), type, ...text(words), ...little(number, 2), ...little(parent, 2), ...little(objects.length, 2), ...objects.flatMap((object) => little(object, 2))];
const value = (id: number, ddi: number, words: string): number[] => [...tag('DPD', id), ...little(ddi, 2), 1, 8, ...text(words), 0xff, 0xff];
const POOL = [
  ...tag('DVC', 0), ...text('Cart'), ...text('1'), 2, 0, 0xe0, 0xaf, 0, 0x80, 8, 0xa0, ...text('1'), ...new TextEncoder().encode('1234567ABCDEFG'),
  ...element(1, 1, 'Cart', 0, 0, []), ...element(2, 2, 'Seeding', 1, 1, []),
  ...element(3, 3, 'Seed', 2, 2, []), ...element(4, 3, 'Fertilizer', 3, 2, []),
  ...element(5, 4, 'Left', 4, 2, []), ...element(6, 4, 'Middle', 5, 2, []), ...element(7, 4, 'Right', 6, 2, []),
  ...element(8, 5, 'Row 1', 7, 7, []), ...element(9, 5, 'Row 2', 8, 7, []),
  ...element(10, 2, 'Seed fan', 9, 1, [20, 21]), ...value(20, 390, 'Speed'), ...value(21, 57400, 'Plenum'),
];

/** The upload in one transfer, and its activation. */
function upload(pool: readonly number[]): TestFrame[] {
  const data = [0x61, ...pool];
  const packets = Math.ceil(data.length / 7);
  const tp = (pgnByte: string, ...values: readonly number[]): TestFrame => {
    clock += 0.01;
    return frameOf(`1C${pgnByte}${hex([CONTROLLER, CART])}#${hex(values)}`, clock);
  };
  return [
    tp('EC', 0x10, ...little(data.length, 2), packets, 0xff, 0, 0xcb, 0),
    ...Array.from({ length: packets }, (_, i) => tp('EB', i + 1, ...Array.from({ length: 7 }, (__, k) => data[i * 7 + k] ?? 0xff))),
    frameOf(`${address(CART, CONTROLLER)}#81FFFFFFFFFFFFFF`, clock),
  ];
}

const summary = (frames: readonly TestFrame[]): readonly (readonly unknown[])[] => decode(frames).channels.map((channel) => [channel.id, channel.unit, ...channel.value]);

describe('process data with the device\'s description', () => {
  test('tanks, meters, width and rows by their place in the description', () => {
    expect(summary([
      ...status, ...upload(POOL),
      /* AgIsoStack and isoxml tables: 75 in g and signed, 6/7 in mg/m², 42 in mg/s, 47 in 0.001/s, 67 in mm, 192 in mK */
      report(2, 75, 4_960_000), report(3, 75, -120_000), report(2, 7, 8965), set(2, 6, 12_000), report(2, 42, 328_801), report(3, 81, 31), report(1, 67, 12_000),
      report(7, 47, 214_000), report(8, 47, 180_500), report(0, 192, 285_150), report(0, 141, 1), report(5, 141, 0),
    ])).toEqual([
      ['air.temperature', 'K', expect.closeTo(285.15, 9)], ['implement.width', 'm', 12], ['implement.working', '1', 1],
      ['meter.1.flow', 'kg/s', expect.closeTo(0.328801, 9)], ['meter.1.rate', 'kg/m²', expect.closeTo(89.65e-4, 12)], ['meter.1.target', 'kg/m²', expect.closeTo(120e-4, 12)],
      ['meter.2.total', 'kg', 31], ['run.1.count', '1/s', 214], ['run.2.count', '1/s', 180.5], ['section.2.actual', '1', 0],
      ['tank.1.mass', 'kg', 4960], ['tank.2.mass', 'kg', -120],
    ]);
  });

  test('rotation is a fan only where the device says so; a maker\'s own value is named', () => {
    const log = decode([...status, ...upload(POOL), report(9, 390, 36_000_000), report(1, 390, 1_200_000), report(9, 57400, 4100)]);
    expect(log.channels.map((channel) => [channel.id, channel.unit, ...channel.value])).toEqual([
      ['fan.1.speed', 'rpm', 3600], ['process.128.1.390', 'rpm', 120], ['process.128.9.57400', '1', 4100],
    ]);
    expect(log.notes).toEqual(['Maker\'s own values, named by the device: process.128.9.57400 "Plenum".']);
  });

  test('the description counts wherever in the log it is', () => {
    expect(summary([...status, report(2, 75, 1000), ...upload(POOL)])).toEqual([['tank.1.mass', 'kg', 1]]);
  });

  test('a description that was not activated, or is spoilt', () => {
    expect(summary([...status, ...upload(POOL).slice(0, -1), report(2, 75, 1000)])).toEqual([['tank.1.mass', 'kg', 1]]);
    const log = decode([...status, ...upload(POOL.slice(0, -3)), report(2, 75, 1000)]);
    expect(log.channels.map((channel) => channel.id)).toEqual(['process.128.2.75']);
    expect(log.notes).toContain('Device descriptions that could not be read: 1. The values of those devices are listed by number.');
  });
});

describe('process data without a description', () => {
  test('values by address, element and number, in SI where the dictionary knows the unit', () => {
    const log = decode([...status, report(2, 75, 4_960_000), report(2, 57400, 7), report(0, 116, 5000)]);
    expect(log.channels.map((channel) => [channel.id, channel.unit, channel.value[0]])).toEqual([
      ['process.128.0.116', '1', 5000], ['process.128.2.75', 'kg', 4960], ['process.128.2.57400', '1', 7],
    ]);
    expect(log.notes).toEqual(['No device description in the log from address 128: its values are listed as process.ADDRESS.ELEMENT.NUMBER.']);
  });

  test('only commands 3 and 10 carry values: triggers and thresholds are none', () => {
    expect(summary([...status, ...[0, 1, 2, 4, 5, 6, 7, 8, 9, 11, 12, 13].map((command) => say(CART, CONTROLLER, command, 2, 75, 1000))])).toEqual([]);
    expect(summary([...status, say(CONTROLLER, CART, 10, 2, 75, 1000)])).toEqual([['process.128.2.75', 'kg', 1]]);
  });

  test('who is the device: by status messages, by NAME, whichever way the value goes', () => {
    const sides = (frames: readonly TestFrame[]): readonly unknown[] => decode(frames).channels.map((channel) => [channel.id, channel.source.sourceAddress]);
    expect(sides([...status, set(2, 6, 1), report(2, 6, 1)])).toEqual([['process.128.2.6', CART], ['process.128.2.6', CONTROLLER]]);
    /* NAME function 130 in the agricultural group is a task controller (AgIsoStack++ log: A000820…) */
    expect(sides([frameOf('18EEFFF7#1400E0AF008200A0'), set(2, 6, 1)])).toEqual([['process.128.2.6', CONTROLLER]]);
  });

  test('a short frame carries nothing', () => {
    expect(summary([...status, frameOf('18CBF780#230048000100')])).toEqual([]);
  });
});

describe('condensed work states (messages.md 6.1)', () => {
  const states = (frames: readonly TestFrame[], id: string): number[] => valuesOf(decode([...status, ...frames]), id);

  test('−4096 = 0xFFFFF000: six sections, all off; −2731 = 0xFFFFF555: six on', () => {
    const log = decode([...status, report(0, 161, -4096), report(0, 161, -2731)]);
    const actual = log.channels.filter((channel) => channel.id.endsWith('.actual'));
    expect(actual.map((channel) => [channel.id, ...channel.value])).toEqual([1, 2, 3, 4, 5, 6].map((n) => [`section.${n}.actual`, 0, 1]));
  });

  test('error is not available; set 11 is no change', () => {
    expect(states([report(0, 161, 0b10), report(0, 161, 1)], 'section.1.actual')).toEqual([Number.NaN, 1]);
    expect(states([set(0, 290, 0b01), set(0, 290, 0b11), set(0, 290, 0b00)], 'section.1.on')).toEqual([1, 0]);
  });

  test('162 and 291 are sections 17 to 32', () => {
    expect(stateGroup(162)).toEqual({ kind: 'actual', group: 1 });
    expect(states([set(0, 291, 0x40000000)], 'section.32.on')).toEqual([1]);
  });

  test('without any set state the reported one stands in, marked as such', () => {
    const log = decode([...status, report(0, 161, -2731)]);
    const on = log.channels.find((channel) => channel.id === 'section.1.on');
    expect(on?.source.derivedFrom).toEqual(['section.1.actual']);
    const both = decode([...status, report(0, 161, -2731), set(0, 290, -4096)]);
    expect(both.channels.filter((channel) => channel.id === 'section.1.on').map((channel) => [...channel.value])).toEqual([[0]]);
  });
});

describe('the dictionary', () => {
  test('every unit is known, or deliberately none', () => {
    for (let ddi = 0; ddi < 65_536; ddi++) {
      const entry = dictionaryEntry(ddi);
      if (entry !== undefined && !UNITS.has(entry.unit)) throw new Error(`${ddi}: ${entry.unit}`);
    }
    expect(dictionaryEntry(57344)).toBeUndefined();
  });

  test.each([[75, 'g', 1], [81, 'kg', 1], [352, 'g', 1], [266, 'kg', 1], [117, 'mm', 1], [272, 'm', 1], [390, 'rpm', 0.0001], [194, 'Pa', 0.1], [47, '1/s', 0.001], [7, 'mg/m²', 1]])(
    'DDI %i in %s × %d (AgIsoStack++ and isoxml tables agree)', (ddi, unit, factor) => expect(dictionaryEntry(ddi)).toMatchObject({ unit, factor }));

  test('a real check: rate × width × speed is the flow (air-cart recording TLG00006)', () => {
    const rate = 8965 * (dictionaryEntry(7)?.factor ?? 0) * (UNITS.get(dictionaryEntry(7)?.unit ?? '')?.factor ?? 0);
    const flow = 328_801 * (dictionaryEntry(42)?.factor ?? 0) * (UNITS.get(dictionaryEntry(42)?.unit ?? '')?.factor ?? 0);
    expect(rate * 12 * 3.056).toBeCloseTo(flow, 3);
  });
});
