import * as fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { createFastPacketAssembler } from '../../src/messages/fast-packet.ts';
import { bytes, decode, frameOf, hasRealLogs, realText, valuesOf } from './bus-lines.ts';

/** Splits a payload as a sender does. */
export function split(payload: Uint8Array, counter: number): Uint8Array[] {
  return Array.from({ length: 1 + Math.floor(payload.length / 7) }, (_, n) => {
    const data = new Uint8Array(8).fill(0xff);
    data[0] = (counter & 7) << 5 | n;
    if (n === 0) data[1] = payload.length;
    data.set(n === 0 ? payload.subarray(0, 6) : payload.subarray(6 + (n - 1) * 7, 13 + (n - 1) * 7), n === 0 ? 2 : 1);
    return data;
  });
}

/** Messages that come out of frames a millisecond apart. */
function joined(frames: readonly (Uint8Array | { readonly at: number; readonly data: Uint8Array })[]): Uint8Array[] {
  const assembler = createFastPacketAssembler();
  return frames.flatMap((frame, i) => {
    const { at, data } = frame instanceof Uint8Array ? { at: i / 1000, data: frame } : frame;
    return assembler.push(at, data, 0) ? [assembler.data.slice(0, assembler.length())] : [];
  });
}

const payload = (length: number, seed = 1): Uint8Array => Uint8Array.from({ length }, (_, i) => (i * 37 + seed) & 0xff);

describe('fast packets', () => {
  test.each([0, 1, 6, 7, 13, 14, 43, 222, 223])('%i bytes', (length) => expect(joined(split(payload(length), 3))).toEqual([payload(length)]));

  test('frames in another order', () => {
    const [first = new Uint8Array(8), ...rest] = split(payload(43), 0);
    expect(joined([first, ...rest.toReversed()])).toEqual([payload(43)]);
  });

  test('messages with different counters run side by side', () => {
    const a = split(payload(30, 1), 1);
    const b = split(payload(30, 9), 2);
    expect(joined(a.flatMap((frame, i) => [frame, b[i] ?? frame]))).toEqual([payload(30, 1), payload(30, 9)]);
  });

  test('a first frame that comes again starts again', () => {
    const [first = new Uint8Array(8), second = new Uint8Array(8)] = split(payload(43), 0);
    expect(joined([first, second, ...split(payload(43, 5), 0)])).toEqual([payload(43, 5)]);
  });

  test('a missing frame loses its message and only that', () => {
    expect(joined([...split(payload(43), 0).slice(0, 4), ...split(payload(43, 5), 1), ...split(payload(43, 7), 0)])).toEqual([payload(43, 5), payload(43, 7)]);
  });

  test('frames more than 750 ms apart are not one message', () => {
    const [first = new Uint8Array(8), ...rest] = split(payload(20), 0);
    const late = (pause: number): Uint8Array[] => joined([{ at: 0, data: first }, ...rest.map((data) => ({ at: pause, data }))]);
    expect(late(0.75)).toEqual([payload(20)]);
    expect(late(0.76)).toEqual([]);
    expect(late(-1000)).toEqual([]);
  });

  test('rests of a message without its first frame do not complete the next one', () => {
    const [, ...rest] = split(payload(20, 1), 0);
    const [first = new Uint8Array(8), ...own] = split(payload(20, 9), 0);
    expect(joined([...rest, first])).toEqual([]);
    expect(joined([...rest, first, ...own])).toEqual([payload(20, 9)]);
  });

  test('an impossible length is refused', () => {
    const data = Uint8Array.of(0, 224, 1, 2, 3, 4, 5, 6);
    expect(joined([data])).toEqual([]);
  });

  test('any frames whatever: no exception, and never more bytes than were sent', () => {
    fc.assert(fc.property(fc.array(fc.tuple(fc.uint8Array({ minLength: 8, maxLength: 8 }), fc.double({ min: -1, max: 2, noNaN: false })), { maxLength: 200 }), (frames) => {
      const messages = joined(frames.map(([data, at]) => ({ at, data })));
      const total = messages.reduce((sum, message) => sum + message.length, 0);
      expect(total).toBeLessThanOrEqual(frames.length * 7);
    }), { numRuns: 300, seed: 11 });
  });

  test('any payload comes back, with other messages and lost frames around it', () => {
    fc.assert(fc.property(fc.uint8Array({ maxLength: 223 }), fc.uint8Array({ minLength: 30, maxLength: 223 }), fc.nat({ max: 7 }), fc.nat({ max: 30 }), (wanted, broken, counter, hole) => {
      const others = split(broken, counter + 1).filter((_, n) => n !== hole % (1 + Math.floor(broken.length / 7)));
      const own = split(wanted, counter);
      const mixed = Array.from({ length: Math.max(own.length, others.length) }, (_, i) => [others[i], own[i]]).flat().filter((frame) => frame !== undefined);
      expect(joined(mixed)).toEqual([wanted]);
    }), { numRuns: 300, seed: 12 });
  });
});

/** Blocks of the canboat tests: comment lines, then frames `time,prio,pgn,src,dst,len,bytes`. */
const blocks = (text: string): { readonly comment: string; readonly lines: readonly string[] }[] => text.split(/\n\s*\n/).map((block) => ({
  comment: block.split('\n').filter((line) => line.startsWith('#')).join(' '),
  lines: block.split('\n').filter((line) => /^\d/.test(line)),
}));

const payloadOf = (line: string): Uint8Array => Uint8Array.from({ length: 8 }, (_, i) => bytes(line.split(',').slice(6).join(''))[i] ?? 0xff);

describe.skipIf(!hasRealLogs)('canboat analyzer/tests', () => {
  const recombine = hasRealLogs ? blocks(realText('n2k/canboat-tests/recombine-frames.in')) : [];

  test.each(recombine.map((block) => [block.comment, block.lines] as const))('recombine-frames: %s', (comment, lines) => {
    const expected = Number(/Should result in (\d+) explained/.exec(comment)?.[1]);
    const assemblers = new Map<string, Uint8Array[]>();
    for (const line of lines) {
      const [, , pgn = '', source = ''] = line.split(',');
      /* 130311 in it is a single frame */
      if (pgn !== '130311') assemblers.set(`${pgn}/${source}`, [...assemblers.get(`${pgn}/${source}`) ?? [], payloadOf(line)]);
    }
    const single = lines.filter((line) => line.split(',')[2] === '130311').length;
    expect([...assemblers.values()].flatMap(joined).length + single).toBe(expected);
  });

  test('short-frame: a first frame without payload is filled with ones', () => {
    const lines = realText('n2k/canboat-tests/short-frame.in').split('\n').filter((line) => /^\d/.test(line));
    expect(joined(lines.map(payloadOf))).toEqual([bytes('FFFFFFFFFFFF AABB')]);
  });

  test('invalid-pgn: groups outside the table are only counted', () => {
    const log = decode(['1DFFFFFF', '19FFFF01', '1FFFFFFE'].map((id) => frameOf(`${id}#0102030405060708`)));
    expect(log.channels).toEqual([]);
    expect(log.messages.map((message) => message.count)).toEqual([1, 1, 1]);
  });
});

test('in the decoder: two buses and two senders at once, none disturbs the other', () => {
  const sent = (latitude: number): Uint8Array => {
    const data = new Uint8Array(43).fill(0xff);
    new DataView(data.buffer).setBigInt64(7, BigInt(latitude) * 10n ** 16n, true);
    return data;
  };
  const places = [['can0', '0DF80501', 10], ['can0', '0DF80502', 20], ['can1', '0DF80501', 30]] as const;
  const streams = places.map(([bus, id, latitude]) => split(sent(latitude), 5).map((data, n) => ({ ...frameOf(`${id}#`, n / 1000), bus, data })));
  const log = decode((streams[0] ?? []).flatMap((_, n) => streams.map((stream) => stream[n])).filter((frame) => frame !== undefined));
  const found = log.channels.filter((channel) => channel.id === 'gnss.lat').map((channel) => [channel.source.bus, channel.source.sourceAddress, ...channel.value]);
  expect(found.toSorted()).toEqual([['can0', 1, 10], ['can0', 2, 20], ['can1', 1, 30]]);
  expect(valuesOf(log, 'gnss.lat')).toHaveLength(1);
});
