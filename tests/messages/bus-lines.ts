import { existsSync, readFileSync } from 'node:fs';
import path from 'node:path';
import { gunzipSync } from 'node:zlib';
import type { Channel } from '../../shared/channel.ts';
import { BATCH_FRAMES, createFrameBatch, type DecodedLog, type FrameBatch } from '../../src/formats/log-format.ts';
import { createDecoder } from '../../src/messages/decoder.ts';
import type { SignalDefinition } from '../../src/messages/signal-definition.ts';

/** One frame for a test. `id` as on the bus; 29-bit ones are marked here. */
export interface TestFrame {
  readonly time: number;
  readonly bus?: string;
  readonly id: number;
  readonly isExtended?: boolean;
  readonly data: Uint8Array;
}

export const bytes = (hex: string): Uint8Array => Uint8Array.from(hex.replaceAll(/[^0-9a-f]/gi, '').match(/../g) ?? [], (pair) => Number.parseInt(pair, 16));

/** `(time) can0 18FEE6F0#CC0F…`, or `18FEE6F0#…` at `time`. */
export function frameOf(line: string, time = 0): TestFrame {
  const match = /^(?:\((\d+\.\d+)\)\s+)?(?:(\S+)\s+)?([0-9A-F]{3}|[0-9A-F]{8})#([0-9A-F]*)$/i.exec(line.trim());
  if (match === null) throw new Error(`not a frame: ${line}`);
  const [, at, bus = 'can0', id = '', data = ''] = match;
  return { time: at === undefined ? time : Number(at), bus, id: Number.parseInt(id, 16), isExtended: id.length === 8, data: bytes(data) };
}

export function decode(frames: Iterable<TestFrame>, signals: readonly SignalDefinition[] = []): DecodedLog {
  const buses: string[] = [];
  const decoder = createDecoder({ file: 'test.log', busNames: () => buses, signals });
  const batch: FrameBatch = createFrameBatch();
  for (const frame of frames) {
    const bus = frame.bus ?? 'can0';
    if (!buses.includes(bus)) buses.push(bus);
    const i = batch.count++;
    batch.time[i] = frame.time;
    batch.id[i] = frame.isExtended === false ? frame.id : (frame.id | 0x80000000) >>> 0;
    batch.bus[i] = buses.indexOf(bus);
    batch.length[i] = frame.data.length;
    batch.data.fill(0xff, i * 8, i * 8 + 8);
    batch.data.set(frame.data, i * 8);
    if (batch.count === BATCH_FRAMES) {
      decoder.frames(batch);
      batch.count = 0;
    }
  }
  decoder.frames(batch);
  return decoder.finish();
}

export const decodeLines = (lines: readonly string[], signals: readonly SignalDefinition[] = []): DecodedLog => decode(lines.map((line, i) => frameOf(line, i)), signals);

export function channel(log: DecodedLog, id: string): Channel {
  const found = log.channels.find((candidate) => candidate.id === id);
  if (found === undefined) throw new Error(`no ${id} among ${log.channels.map((candidate) => candidate.id).join(', ')}`);
  return found;
}

export const valuesOf = (log: DecodedLog, id: string): number[] => [...channel(log, id).value];

/** Recordings made by others; the tests that need them are skipped, visibly, where they are absent. */
export const REAL_LOGS = path.resolve(import.meta.dirname, '../../../shared/real-logs');
export const hasRealLogs = existsSync(REAL_LOGS);
export const realText = (name: string): string => {
  const raw = readFileSync(path.join(REAL_LOGS, name));
  return (name.endsWith('.gz') ? gunzipSync(raw) : raw).toString('utf8');
};

/** mulberry32 (public domain, by Tommy Ettinger, from memory): the same numbers in every run. */
export function seeded(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4294967296;
  };
}
