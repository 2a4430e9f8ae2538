import * as fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { ETP_CONTROL, ETP_DATA, TP_CONTROL, TP_DATA, createTransport, type TransferAddress } from '../../src/messages/transport.ts';
import { bytes, hasRealLogs, realText } from './bus-lines.ts';

interface Sent { readonly pgn: number; readonly source: number; readonly destination: number; readonly time: number; readonly data: Uint8Array }

const PGN = 51968;
const DEVICE = 0x80;
const CONTROLLER = 0xf7;
const GROUP = [PGN & 0xff, PGN >> 8 & 0xff, PGN >> 16];
const payload = (length: number): Uint8Array => Uint8Array.from({ length }, (_, i) => (i * 31 + 5) & 0xff);
const little = (value: number, count: number): number[] => Array.from({ length: count }, (_, i) => Math.floor(value / 256 ** i) & 0xff);

const control = (...values: readonly number[]): Uint8Array => Uint8Array.from([...values, ...Array.from({ length: Math.max(0, 5 - values.length) }, () => 0xff), ...GROUP]);
const packet = (data: Uint8Array, sequence: number, index: number): Uint8Array => {
  const frame = new Uint8Array(8).fill(0xff);
  frame[0] = sequence;
  frame.set(data.subarray(index * 7, index * 7 + 7), 1);
  return frame;
};

/** Frames `step` seconds apart; `answer` = from the receiver. */
function sequence(frames: readonly { readonly pgn: number; readonly data: Uint8Array; readonly answer?: boolean }[], destination = CONTROLLER, step = 0.01): Sent[] {
  return frames.map(({ pgn, data, answer }, i) => ({
    pgn, data, time: i * step, source: answer === true ? CONTROLLER : DEVICE, destination: answer === true ? DEVICE : destination,
  }));
}

function received(frames: readonly Sent[]): { readonly messages: Uint8Array[]; readonly lost: number; readonly open: number } {
  const messages: Uint8Array[] = [];
  const transport = createTransport((pgn) => pgn === PGN, (_pgn, _address, _time, data) => messages.push(data));
  for (const { pgn, source, destination, time, data } of frames) transport.push(pgn, { bus: 0, source, destination }, time, data, 0);
  return { messages, lost: transport.lost(), open: transport.openSessions() };
}

const packets = (length: number): number => Math.ceil(length / 7);
const range = (count: number): number[] => Array.from({ length: count }, (_, i) => i);
const request = (length: number): { readonly pgn: number; readonly data: Uint8Array } => ({ pgn: TP_CONTROL, data: control(0x10, ...little(length, 2), packets(length), 0xff) });
const broadcast = (length: number): { readonly pgn: number; readonly data: Uint8Array } => ({ pgn: TP_CONTROL, data: control(0x20, ...little(length, 2), packets(length), 0xff) });
const tp = (data: Uint8Array, index: number): { readonly pgn: number; readonly data: Uint8Array } => ({ pgn: TP_DATA, data: packet(data, index + 1, index) });
const clear = (count: number, next: number): { readonly pgn: number; readonly data: Uint8Array; readonly answer: true } => ({ pgn: TP_CONTROL, data: control(0x11, count, next), answer: true });

describe('transport protocol (SAE J1939-21 5.10, ISO 11783-3)', () => {
  test.each([9, 14, 15, 100, 1785])('broadcast of %i bytes', (length) => {
    const data = payload(length);
    expect(received(sequence([broadcast(length), ...range(packets(length)).map((i) => tp(data, i))], 255))).toEqual({ messages: [data], lost: 0, open: 0 });
  });

  test('with request, clearances and end', () => {
    const data = payload(20);
    const frames = [request(20), clear(2, 1), tp(data, 0), tp(data, 1), clear(1, 3), tp(data, 2), { pgn: TP_CONTROL, data: control(0x13, 20, 0, 3), answer: true }];
    expect(received(sequence(frames))).toEqual({ messages: [data], lost: 0, open: 0 });
  });

  test('packets asked for again are not counted twice', () => {
    const data = payload(20);
    const frames = [request(20), clear(3, 1), tp(data, 0), tp(data, 2), clear(2, 2), tp(data, 1), tp(data, 2)];
    expect(received(sequence(frames)).messages).toEqual([data]);
  });

  test('a receiver that asks to wait (0 packets) keeps the session, silence ends it', () => {
    const data = payload(20);
    const hold = [request(20), clear(2, 1), tp(data, 0), tp(data, 1), clear(0, 0xff), clear(0, 0xff), clear(1, 3), tp(data, 2)];
    expect(received(sequence(hold, CONTROLLER, 1)).messages).toEqual([data]);
    expect(received(sequence([request(20), clear(3, 1), tp(data, 0), tp(data, 1), tp(data, 2)], CONTROLLER, 1.3))).toMatchObject({ messages: [], lost: 1 });
  });

  test('an abort of either side ends it; the next transfer is untouched', () => {
    const data = payload(20);
    for (const answer of [true, false]) {
      const frames = [request(20), clear(3, 1), tp(data, 0), { pgn: TP_CONTROL, data: control(0xff, 3), answer }, tp(data, 1), tp(data, 2), request(20), ...range(3).map((i) => tp(data, i))];
      expect(received(sequence(frames))).toEqual({ messages: [data], lost: 1, open: 0 });
    }
  });

  test('a new request replaces an unfinished one', () => {
    const data = payload(30);
    expect(received(sequence([request(20), tp(payload(20), 0), request(30), ...range(5).map((i) => tp(data, i))]))).toEqual({ messages: [data], lost: 1, open: 0 });
  });

  test('two senders, and both directions, at once', () => {
    const data = payload(15);
    const one = sequence([broadcast(15), ...range(3).map((i) => tp(data, i))], 255);
    const other = one.map((frame) => ({ ...frame, source: 0x26 }));
    expect(received(one.flatMap((frame, i) => [frame, other[i] ?? frame])).messages).toEqual([data, data]);
  });

  test('sizes that cannot be, and groups nobody wants, open nothing', () => {
    expect(received(sequence([request(8)])).open).toBe(0);
    expect(received(sequence([{ pgn: TP_CONTROL, data: control(0x10, ...little(20, 2), 9, 0xff) }])).open).toBe(0);
    const other = Uint8Array.from(control(0x10, ...little(20, 2), 3, 0xff));
    other[5] = 1;
    expect(received(sequence([{ pgn: TP_CONTROL, data: other }])).open).toBe(0);
  });
});

describe('extended transport protocol (ISO 11783-3 5.11)', () => {
  const length = 2345;
  const data = payload(length);
  const start = { pgn: ETP_CONTROL, data: control(0x14, ...little(length, 4)) };
  /** One window: offset message, then its packets, numbered from 1 again. */
  const window = (first: number, count: number): { readonly pgn: number; readonly data: Uint8Array }[] => [
    { pgn: ETP_CONTROL, data: control(0x16, count, ...little(first, 3)) },
    ...range(count).map((i) => ({ pgn: ETP_DATA, data: packet(data, i + 1, first + i) })),
  ];

  test('windows of 16 packets', () => {
    const windows = range(Math.ceil(packets(length) / 16)).flatMap((n) => window(n * 16, Math.min(16, packets(length) - n * 16)));
    expect(received(sequence([start, ...windows]))).toEqual({ messages: [data], lost: 0, open: 0 });
  });

  test('a window sent again after a lost packet', () => {
    const frames = [start, ...window(0, 255).filter((_, i) => i !== 7), ...window(6, 10), ...window(255, 80)];
    expect(received(sequence(frames)).messages).toEqual([data]);
  });

  test('a window that skips packets cannot be completed', () => {
    expect(received(sequence([start, ...window(0, 16), ...window(100, 16)]))).toMatchObject({ messages: [], lost: 1, open: 0 });
  });

  test('a size beyond what is kept opens nothing', () => {
    expect(received(sequence([{ pgn: ETP_CONTROL, data: control(0x14, ...little(117_440_505, 4)) }])).open).toBe(0);
  });
});

test('any frames whatever: no exception, few sessions, no message longer than what was sent', () => {
  const frame = fc.record({
    pgn: fc.constantFrom(TP_CONTROL, TP_DATA, ETP_CONTROL, ETP_DATA), source: fc.nat({ max: 255 }), destination: fc.nat({ max: 255 }), time: fc.double({ min: 0, max: 5 }),
    data: fc.tuple(fc.constantFrom(0x10, 0x11, 0x13, 0x14, 0x15, 0x16, 0x17, 0x20, 0xff, 1, 2, 3), fc.uint8Array({ minLength: 4, maxLength: 4 }), fc.boolean())
      .map(([first, middle, isOurs]) => Uint8Array.from([first, ...middle, ...(isOurs ? GROUP : [1, 2, 3])])),
  });
  fc.assert(fc.property(fc.array(frame, { maxLength: 300 }), (frames) => {
    const { messages, open } = received(frames);
    expect(open).toBeLessThanOrEqual(64);
    expect(messages.reduce((sum, message) => sum + message.length, 0)).toBeLessThanOrEqual(frames.length * 7);
  }), { numRuns: 200, seed: 5 });
});

test('memory holds only what was received: a thousand requests for 4 MB cost next to nothing', () => {
  const transport = createTransport(() => true, () => {});
  const before = process.memoryUsage().arrayBuffers;
  for (let n = 0; n < 1000; n++) transport.push(ETP_CONTROL, { bus: 0, source: n & 0xff, destination: n >> 8 }, n / 1000, control(0x14, ...little(4_000_000, 4)), 0);
  expect(transport.openSessions()).toBe(64);
  expect(transport.lost()).toBe(1000);
  expect(process.memoryUsage().arrayBuffers - before).toBeLessThan(100_000_000);
});

describe.skipIf(!hasRealLogs)('canboat analyzer/tests', () => {
  const read = (name: string): { readonly pgn: number; readonly address: TransferAddress; readonly data: Uint8Array }[] => realText(`n2k/canboat-tests/${name}.in`).split('\n').filter((line) => /^\d{4}-/.test(line)).map((line) => {
    const [, , pgn, source, destination, , ...hex] = line.split(',');
    return { pgn: Number(pgn), address: { bus: 0, source: Number(source), destination: Number(destination) }, data: bytes(hex.join('')) };
  });

  test.each([['iso-tp-test', 219], ['iso-tp-large-payload-test', 1779]])('%s', (name, length) => {
    const messages: { readonly pgn: number; readonly data: Uint8Array }[] = [];
    const transport = createTransport(() => true, (pgn, _address, _time, data) => messages.push({ pgn, data }));
    read(name).forEach(({ pgn, address, data }, i) => transport.push(pgn, address, i / 10, data, 0));
    expect(messages.map((message) => [message.pgn, message.data.length])).toEqual([[129540, length]]);
    expect(transport.openSessions()).toBe(0);
  });

  test('the same message, sent whole and sent in packets, has the same bytes', () => {
    const [whole] = read('iso-tp-preassembled-test');
    const messages: Uint8Array[] = [];
    const transport = createTransport(() => true, (_pgn, _address, _time, data) => messages.push(data));
    read('iso-tp-large-payload-test').forEach(({ pgn, address, data }, i) => transport.push(pgn, address, i / 10, data, 0));
    expect(messages).toEqual([whole?.data]);
  });
});
