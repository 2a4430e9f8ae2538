import { parquetRead } from 'hyparquet';
import { parquetWriteBuffer } from 'hyparquet-writer';
import { toIso } from '../../shared/clock.ts';
import type { Channel } from '../../shared/channel.ts';

/** Where a channel's samples lie. Channels of one file share its `time` column. */
export type StoredChannel = Omit<Channel, 'time' | 'value'> & {
  readonly file: string;
  readonly column: string;
  /** Bits of a sample in memory. */
  readonly width: 32 | 64;
  /** Samples, and when the first and the last were, s; days kept by the first versions do not say. */
  readonly extent?: SampleExtent;
};

export interface SampleExtent {
  readonly samples: number;
  /** s from the day's start of the first and the last sample; 0 without any. */
  readonly from: number;
  readonly to: number;
}

export const extentOf = ({ time }: Pick<Channel, 'time'>): SampleExtent => ({ samples: time.length, from: time[0] ?? 0, to: time.at(-1) ?? 0 });

export interface StoredChannels {
  /** In the order of the day's channels. */
  readonly channels: readonly StoredChannel[];
  readonly files: ReadonlyMap<string, Uint8Array>;
}

const FORMAT = 'sowtrace/case-channels/1';
/** A reader decodes whole groups: small enough for a window, large enough to pack well (quality.md 4.3, measured). */
const ROWS_PER_GROUP = 65_536;
const TIME = 'time';
const FILES = 'channels-';

export const isOfChannels = (file: string): boolean => file.startsWith(FILES);

/**
 * Channels → Parquet files, one per shared time base: `time` (seconds from `start`) and a column per channel in its own unit, as real
 * values that any engine reads; null = not available. What comes back is equal to the bit: repeated values are stored once and referred
 * to (about one byte a sample, as small as packed raw counts), others are split into bytes. `start` in seconds since 1970 UTC.
 */
export function encodeChannels(channels: readonly Channel[], start: number): StoredChannels {
  const stored = new Map<Channel, StoredChannel>();
  const files = new Map<string, Uint8Array>();
  for (const [i, group] of sharedTimes(channels).entries()) {
    const file = `${FILES}${String(i + 1).padStart(3, '0')}.parquet`;
    const names = uniqueNames(group.channels);
    const extent = extentOf(group);
    for (const [k, { time: _, value, ...about }] of group.channels.entries()) {
      stored.set(group.channels[k] as Channel, { ...about, file, column: names[k] as string, width: value instanceof Float32Array ? 32 : 64, extent });
    }
    const units = Object.fromEntries(group.channels.map(({ unit }, k) => [names[k] as string, unit]));
    files.set(file, new Uint8Array(parquetWriteBuffer({
      rowGroupSize: ROWS_PER_GROUP,
      statistics: false,
      kvMetadata: [{ key: 'format', value: FORMAT }, { key: 'start', value: toIso(start) }, { key: 'units', value: JSON.stringify(units) }],
      columnData: [
        { name: TIME, type: 'DOUBLE', nullable: false, data: group.time, encoding: 'BYTE_STREAM_SPLIT', statistics: true },
        ...group.channels.map(({ value }, k) => ({ name: names[k] as string, ...columnOf(value) })),
      ],
    })));
  }
  return { channels: channels.map((channel) => stored.get(channel) as StoredChannel), files };
}

/** The way back: some channels of one file, whose bytes are verified already; `known` is its `time` where it was decoded before. */
export async function decodeColumns(bytes: Uint8Array, wanted: readonly StoredChannel[], known?: Float64Array): Promise<{ readonly time: Float64Array; readonly values: ReadonlyMap<string, Float32Array | Float64Array> }> {
  const file = { byteLength: bytes.length, slice: (from: number, to = bytes.length) => new Uint8Array(bytes.subarray(from, to)).buffer };
  const pages: { readonly column: string; readonly at: number; readonly data: ArrayLike<unknown> }[] = [];
  let rows = 0;
  const columns = [...(known === undefined ? [TIME] : []), ...wanted.map(({ column }) => column)];
  await parquetRead({ file, columns, onPage: ({ pathInSchema: [column = ''], columnData, rowStart, rowEnd }) => {
    pages.push({ column, at: rowStart, data: columnData });
    rows = Math.max(rows, rowEnd);
  } });
  const time = known ?? new Float64Array(rows);
  const values = new Map(wanted.map(({ column, width }) => [column, width === 32 ? new Float32Array(rows) : new Float64Array(rows)]));
  for (const { column, at, data } of pages) {
    const target = column === TIME ? time : values.get(column);
    if (target === undefined) continue;
    if (data instanceof Float64Array || data instanceof Float32Array) target.set(data, at);
    else for (let i = 0; i < data.length; i += 1) target[at + i] = data[i] === null ? Number.NaN : (data[i] as number);
  }
  return { time, values };
}

interface TimeGroup {
  readonly time: Float64Array;
  readonly channels: Channel[];
}

/** Channels with the same times to the bit, whether they share the array or not. */
function sharedTimes(channels: readonly Channel[]): readonly TimeGroup[] {
  const groups: TimeGroup[] = [];
  const known = new Map<Float64Array, TimeGroup>();
  for (const channel of channels) {
    let group = known.get(channel.time) ?? groups.find(({ time }) => haveSameBits(time, channel.time));
    if (group === undefined) {
      group = { time: channel.time, channels: [] };
      groups.push(group);
    }
    known.set(channel.time, group);
    group.channels.push(channel);
  }
  return groups;
}

function haveSameBits(a: Float64Array, b: Float64Array): boolean {
  if (a.length !== b.length) return false;
  return Buffer.compare(Buffer.from(a.buffer, a.byteOffset, a.byteLength), Buffer.from(b.buffer, b.byteOffset, b.byteLength)) === 0;
}

/** Two senders may give the same channel: `gnss.speed`, `gnss.speed (2)`. */
function uniqueNames(channels: readonly Channel[]): readonly string[] {
  const taken = new Set([TIME]);
  return channels.map(({ id }) => {
    let name = id;
    for (let n = 2; taken.has(name); n += 1) name = `${id} (${n})`;
    taken.add(name);
    return name;
  });
}

/** Values tried before it is decided whether they repeat. */
const TRIED = 2000;

function columnOf(value: Float32Array | Float64Array): { readonly type: 'FLOAT' | 'DOUBLE'; readonly nullable: boolean; readonly data: (number | null)[] | Float32Array | Float64Array; readonly encoding: 'RLE_DICTIONARY' | 'BYTE_STREAM_SPLIT' } {
  let absent = 0;
  let hasMinusZero = false;
  for (let i = 0; i < value.length; i += 1) {
    const v = value[i] as number;
    if (v !== v) absent += 1;
    else if (v === 0 && Object.is(v, -0)) hasMinusZero = true;
  }
  const stride = Math.max(1, Math.floor(value.length / TRIED));
  const seen = new Set<number>();
  let tried = 0;
  for (let i = 0; i < value.length; i += stride) {
    seen.add(value[i] as number);
    tried += 1;
  }
  /* The dictionary takes −0 for 0. */
  const repeats = !hasMinusZero && seen.size * 2 <= tried;
  return {
    type: value instanceof Float32Array ? 'FLOAT' : 'DOUBLE',
    nullable: absent > 0,
    data: absent > 0 ? Array.from(value, (v) => (Number.isNaN(v) ? null : v)) : value,
    encoding: repeats ? 'RLE_DICTIONARY' : 'BYTE_STREAM_SPLIT',
  };
}
