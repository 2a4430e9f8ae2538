import type { ChannelSource } from './channel.ts';
import type { DaySummary, EpisodeLanes, LogSummary } from './day.ts';
import type { Evidence } from './evidence.ts';
import type { CheckReport, Finding, Measurement } from './finding.ts';
import type { Problem } from './json-reader.ts';
import type { UnitSystem } from './text.ts';

/** What the viewer and its server say to each other. All times are seconds from the day's start unless they say otherwise. */

/** An uploaded file, kept until the server stops. */
export interface UploadReply {
  readonly upload: string;
  readonly name: string;
  readonly bytes: number;
}

/** Asks for a day to be read; files are uploads or, from the command line, paths the server was started with. */
export interface DayRequest {
  readonly uploads: readonly string[];
  /** Content of setup.json, signals.json, columns.json as text. */
  readonly setup?: string;
  readonly signals?: string;
  readonly columns?: string;
  readonly zone?: string;
}

export type DayState =
  | { readonly status: 'reading'; readonly file: string; readonly bytes: number; readonly total: number; readonly startedMillisecondsAgo: number }
  | { readonly status: 'judging' }
  | { readonly status: 'ready'; readonly view: DayView }
  | { readonly status: 'failed'; readonly error: ErrorReply };

export interface DayListing {
  readonly id: string;
  readonly name: string;
  readonly status: DayState['status'];
  readonly openedMillisecondsAgo: number;
  /** Once it is ready: when it was, and how many findings of each weight it has. */
  readonly start?: number;
  readonly duration?: number;
  readonly zone?: string;
  readonly actions?: number;
  readonly watches?: number;
}

/** Everything about a day but its samples and evidence. Texts carry quantity tokens (shared/text.ts). */
export interface DayView {
  readonly id: string;
  readonly name: string;
  /** Seconds since 1970 UTC of second 0. */
  readonly start: number;
  readonly duration: number;
  readonly zone: string;
  readonly units: UnitSystem;
  readonly logs: readonly LogSummary[];
  readonly channels: readonly ChannelListing[];
  readonly summary: DaySummary;
  readonly findings: readonly FindingView[];
  readonly measurements: readonly Measurement[];
  readonly checks: readonly CheckReport[];
  readonly episodes: EpisodeLanes;
  /** setup.json as it was given (text), for the form. */
  readonly setup?: string;
}

export type FindingView = Omit<Finding, 'evidence'> & { readonly evidenceKinds: readonly Evidence['kind'][] };

export interface ChannelListing {
  /** Position in the day's channel list: two senders may give the same id. */
  readonly index: number;
  readonly id: string;
  readonly unit: string;
  readonly source: ChannelSource;
  readonly samples: number;
  readonly from: number;
  readonly to: number;
}

export interface ErrorReply {
  /** `unreachable` is what the viewer says itself when the server does not answer. */
  readonly kind: 'usage' | 'input' | 'setup' | 'not-found' | 'refused' | 'internal' | 'unreachable';
  readonly message: string;
  readonly whatToDo: string;
}

export interface SetupReply {
  readonly problems: readonly Problem[];
}

/**
 * Samples of one channel over a range, as binary: a header of 8 little-endian float64
 * (kind 1 = blocks or 2 = samples, n, from, to, samples in range, and three spare), then columns of n:
 * blocks: first f32, min f32, max f32, last f32; samples: time f64, value f64.
 */
export const BLOCK_HEADER_BYTES = 64;

/** [from, to) cut into equal blocks, one per pixel column; all four NaN where a block holds no value. */
export interface Blocks {
  readonly kind: 'blocks';
  readonly from: number;
  readonly to: number;
  /** Samples behind the blocks. */
  readonly samples: number;
  readonly first: Float32Array;
  readonly min: Float32Array;
  readonly max: Float32Array;
  readonly last: Float32Array;
}

export interface Samples {
  readonly kind: 'samples';
  readonly from: number;
  readonly to: number;
  readonly samples: number;
  readonly time: Float64Array;
  readonly value: Float64Array;
}

export function encodeBlocks(data: Blocks | Samples): ArrayBuffer {
  const columns: readonly (Float64Array | Float32Array)[] =
    data.kind === 'blocks' ? [data.first, data.min, data.max, data.last] : [data.time, data.value];
  const n = columns[0]?.length ?? 0;
  const buffer = new ArrayBuffer(BLOCK_HEADER_BYTES + columns.reduce((sum, column) => sum + column.byteLength, 0));
  new Float64Array(buffer, 0, 5).set([data.kind === 'blocks' ? 1 : 2, n, data.from, data.to, data.samples]);
  let offset = BLOCK_HEADER_BYTES;
  for (const column of columns) {
    new Uint8Array(buffer, offset, column.byteLength).set(new Uint8Array(column.buffer, column.byteOffset, column.byteLength));
    offset += column.byteLength;
  }
  return buffer;
}

export function decodeBlocks(buffer: ArrayBuffer): Blocks | Samples {
  const [kind = 0, n = 0, from = 0, to = 0, samples = 0] = new Float64Array(buffer, 0, 5);
  let offset = BLOCK_HEADER_BYTES;
  const take = <T>(make: new (buffer: ArrayBuffer, offset: number, length: number) => T, bytes: number): T => {
    const column = new make(buffer, offset, n);
    offset += n * bytes;
    return column;
  };
  if (kind === 2) return { kind: 'samples', from, to, samples, time: take(Float64Array, 8), value: take(Float64Array, 8) };
  return { kind: 'blocks', from, to, samples, first: take(Float32Array, 4), min: take(Float32Array, 4), max: take(Float32Array, 4), last: take(Float32Array, 4) };
}

/** One channel of a lane answer. */
export interface LaneData {
  /** Position in the day's channel list. */
  readonly channel: number;
  readonly data: Blocks | Samples;
}

/** What the lanes of a stretch are drawn from. */
export interface LaneAnswer {
  readonly lanes: readonly LaneData[];
  /** The runs over the same stretch, a pack of RunPictureMeta, when they were asked for. */
  readonly runs?: ArrayBuffer;
}

/** Several channels and the runs in one answer: u32 count and u32 bytes of the runs, then for each channel u32 channel, u32 bytes and its blocks, then the runs. */
export function encodeLanes({ lanes, runs }: LaneAnswer): ArrayBuffer {
  const parts = lanes.map(({ channel, data }) => ({ channel, bytes: new Uint8Array(encodeBlocks(data)) }));
  const padded = (size: number): number => Math.ceil(size / 8) * 8;
  const size = parts.reduce((sum, { bytes }) => sum + 8 + padded(bytes.length), 8);
  const buffer = new ArrayBuffer(size + (runs?.byteLength ?? 0));
  const words = new DataView(buffer);
  words.setUint32(0, parts.length, true);
  words.setUint32(4, runs?.byteLength ?? 0, true);
  let offset = 8;
  for (const { channel, bytes } of parts) {
    words.setUint32(offset, channel, true);
    words.setUint32(offset + 4, bytes.length, true);
    new Uint8Array(buffer, offset + 8, bytes.length).set(bytes);
    offset += 8 + padded(bytes.length);
  }
  if (runs !== undefined) new Uint8Array(buffer, size).set(new Uint8Array(runs));
  return buffer;
}

export function decodeLanes(buffer: ArrayBuffer): LaneAnswer {
  const words = new DataView(buffer);
  const lanes: LaneData[] = [];
  let offset = 8;
  for (let n = words.getUint32(0, true); n > 0; n--) {
    const size = words.getUint32(offset + 4, true);
    lanes.push({ channel: words.getUint32(offset, true), data: decodeBlocks(buffer.slice(offset + 8, offset + 8 + size)) });
    offset += 8 + Math.ceil(size / 8) * 8;
  }
  return words.getUint32(4, true) === 0 ? { lanes } : { lanes, runs: buffer.slice(offset) };
}
