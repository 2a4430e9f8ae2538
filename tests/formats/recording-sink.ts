import { EXTENDED_FRAME, type LogFormat, type LogSink, type ReadingContext } from '../../src/formats/log-format.ts';

export interface Frame {
  readonly time: number;
  readonly bus: string;
  readonly id: number;
  readonly extended: boolean;
  readonly data: string;
}

/** All that a format handed on, as plain data that compares. */
export interface Recording {
  readonly frames: readonly Frame[];
  readonly messages: readonly { readonly time: number; readonly pgn: number; readonly source: number; readonly data: string }[];
  /** By device, element and number: raw values. */
  readonly process: Readonly<Record<string, readonly (readonly [number, number])[]>>;
  readonly columns: readonly { readonly heading: string; readonly samples: readonly (readonly [number, number])[] }[];
  readonly records: number;
  readonly bytes: { readonly accepted: number; readonly rejected: number; readonly ignored: number };
  readonly rejected: readonly { readonly offset: number; readonly line?: number; readonly bytes: number; readonly reason: string }[];
  /** Records by rule. */
  readonly ignored: Readonly<Record<string, number>>;
  readonly notes: readonly string[];
}

const hex = (bytes: Uint8Array): string => Buffer.from(bytes).toString('hex').toUpperCase();

/** The bytes in pieces of `size`, each a fresh copy that is wiped after use, as a reused reading buffer would be. */
export async function* inPieces(bytes: Uint8Array, size: number): AsyncGenerator<Uint8Array> {
  for (let at = 0; at < bytes.length; at += size) {
    const piece = bytes.slice(at, at + size);
    yield piece;
    piece.fill(0xaa);
  }
}

export async function record(format: LogFormat, bytes: Uint8Array, options: { readonly pieces?: number; readonly context?: ReadingContext } = {}): Promise<Recording> {
  const buses: string[] = [];
  const frames: Frame[] = [];
  const messages: { time: number; pgn: number; source: number; data: string }[] = [];
  const columns: { heading: string; samples: [number, number][] }[] = [];
  const rejected: { offset: number; line?: number; bytes: number; reason: string }[] = [];
  const account = { accepted: 0, rejected: 0, ignored: 0 };
  const ignored: Record<string, number> = {};
  const notes: string[] = [];
  const process: Record<string, [number, number][]> = {};
  let devices = 0;
  let records = 0;

  const openColumn = (heading: string): [number, number][] => {
    const samples: [number, number][] = [];
    columns.push({ heading, samples });
    return samples;
  };
  const sink: LogSink = {
    bus: (name) => {
      const known = buses.indexOf(name);
      return known >= 0 ? known : buses.push(name) - 1;
    },
    frames: (batch) => {
      for (let i = 0; i < batch.count; i += 1) {
        const id = batch.id[i] as number;
        const length = batch.length[i] as number;
        const cell = batch.data.subarray(i * 8, i * 8 + 8);
        if (cell.subarray(length).some((byte) => byte !== 0xff)) throw new Error('padding of a short frame is not 0xFF');
        frames.push({ time: batch.time[i] as number, bus: buses[batch.bus[i] as number] ?? '?', id: (id & 0x1fffffff) >>> 0, extended: (id & EXTENDED_FRAME) !== 0, data: hex(cell.subarray(0, length)) });
      }
      batch.data.fill(0xee, 0, batch.count * 8);
    },
    message: (message) => messages.push({ time: message.time, pgn: message.pgn, source: message.source, data: hex(message.data) }),
    column: (heading) => {
      const samples = openColumn(heading.text);
      return { push: (time, value) => samples.push([time, value]) };
    },
    table: (headings) => {
      const opened = headings.map((heading) => openColumn(heading.text));
      return {
        rows: (times, values, count) => {
          for (let row = 0; row < count; row += 1) {
            for (const [i, samples] of opened.entries()) {
              const value = values[i]?.[row] ?? Number.NaN;
              if (!Number.isNaN(value)) samples.push([times[row] as number, value]);
            }
          }
        },
      };
    },
    device: () => {
      const device = devices++;
      return {
        push: (time, element, ddi, value) => {
          (process[`${device}/${element}/${ddi}`] ??= []).push([time, value]);
        },
      };
    },
    accepted: (size, count) => {
      account.accepted += size;
      records += count;
    },
    rejected: (place, size, reason) => {
      account.rejected += size;
      rejected.push({ ...place, bytes: size, reason });
    },
    ignored: (size, rule, count = 0) => {
      account.ignored += size;
      ignored[rule] = (ignored[rule] ?? 0) + count;
    },
    note: (sentence) => notes.push(sentence),
  };
  await format.read(inPieces(bytes, options.pieces ?? Math.max(1, bytes.length)), sink, options.context);
  return { frames, messages, process, columns, records, bytes: account, rejected, ignored, notes };
}

export const utf8 = (text: string): Uint8Array => new TextEncoder().encode(text);
