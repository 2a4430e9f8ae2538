import type { Channel, ChannelSource } from '../../shared/channel.ts';
import type { Unit } from '../../shared/units.ts';
import { createColumnBuilder, type Column, type ColumnBuilder } from '../core/column-builder.ts';
import type { Sender } from './names.ts';

/** One column being filled: one quantity from one sender in one message. */
export interface BookEntry {
  readonly id: string;
  readonly unit: Unit;
  readonly trust: number;
  readonly bus: number;
  readonly sender: Sender | undefined;
  /** Beyond what the sender tells: `pgn`, `spn`, `ddi`, `element`, … */
  readonly origin: Partial<ChannelSource>;
  readonly column: ColumnBuilder;
}

/** All columns of one log, kept apart by bus, sender and message. */
export interface ChannelBook {
  /** The entry of this key; made on first use. */
  readonly entry: (key: string, make: () => Omit<BookEntry, 'column'>) => BookEntry;
  /** Channels with their rank; those without a single value are in `empty`. */
  readonly finish: (file: string, busNames: readonly string[]) => FinishedBook;
}

export interface FinishedBook {
  readonly ranked: readonly RankedChannel[];
  readonly empty: readonly Channel[];
}

/** A finished column with the rank it competes with. */
export interface RankedChannel {
  readonly channel: Channel;
  readonly trust: number;
}

export function createChannelBook(): ChannelBook {
  const entries = new Map<string, BookEntry>();
  return {
    entry: (key, make) => {
      const known = entries.get(key);
      if (known !== undefined) return known;
      const made = { ...make(), column: createColumnBuilder() };
      entries.set(key, made);
      return made;
    },
    finish: (file, busNames) => {
      const ranked: RankedChannel[] = [];
      const empty: Channel[] = [];
      for (const entry of entries.values()) {
        const column = withTime(entry.column.finish());
        if (column.time.length === 0) continue;
        const channel: Channel = { id: entry.id, unit: entry.unit, source: sourceOf(entry, file, busNames), time: column.time, value: column.value };
        if (column.value.some(Number.isFinite)) ranked.push({ channel, trust: entry.trust });
        else empty.push(channel);
      }
      return { ranked, empty };
    },
  };
}

/** By name; of one name the most trusted first, then the one with more values, then the one met first. */
export function orderByTrust(ranked: readonly RankedChannel[]): readonly Channel[] {
  const valid = new Map(ranked.map(({ channel }) => [channel, countFinite(channel.value)]));
  const byName = new Intl.Collator('en', { numeric: true });
  return [...ranked]
    .sort((a, b) => byName.compare(a.channel.id, b.channel.id) || b.trust - a.trust || (valid.get(b.channel) ?? 0) - (valid.get(a.channel) ?? 0))
    .map(({ channel }) => channel);
}

/** Signs of work below this rank come from the tractor, which may not use its hitch or switch for this machine at all. */
const TRACTOR_SIGNS = 50;

/** Takes out tractor signs of `implement.working` that were never on: as evidence of a day without work they would be wrong. */
export function withoutIdleSwitches(ranked: readonly RankedChannel[]): { readonly used: readonly RankedChannel[]; readonly unused: number } {
  const used = ranked.filter(({ channel, trust }) => channel.id !== 'implement.working' || trust >= TRACTOR_SIGNS || channel.value.some((value) => value > 0));
  return { used, unused: ranked.length - used.length };
}

/** Where an entry's numbers came from, for the channel. */
export function sourceOf(entry: Pick<BookEntry, 'sender' | 'bus' | 'origin'>, file: string, busNames: readonly string[]): ChannelSource {
  const bus = busNames[entry.bus];
  return {
    file,
    ...(bus === undefined ? {} : { bus }),
    ...(entry.sender === undefined ? {} : { sourceAddress: entry.sender.address }),
    ...(entry.sender?.name === undefined ? {} : { name: entry.sender.name.hex }),
    ...entry.origin,
  };
}

/** Values without a time cannot be placed and are left out. */
function withTime(column: Column): Column {
  if (!hasNaN(column.time)) return column;
  const kept = [...column.time.keys()].filter((i) => !Number.isNaN(column.time[i] as number));
  return { time: Float64Array.from(kept, (i) => column.time[i] as number), value: Float64Array.from(kept, (i) => column.value[i] as number) };
}

function hasNaN(values: Float64Array): boolean {
  for (let i = 0; i < values.length; i++) if (Number.isNaN(values[i])) return true;
  return false;
}

function countFinite(values: ArrayLike<number>): number {
  let count = 0;
  for (let i = 0; i < values.length; i++) if (Number.isFinite(values[i])) count += 1;
  return count;
}
