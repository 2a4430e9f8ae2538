import type { Channel } from '../../shared/channel.ts';
import { decodeColumns, extentOf, type SampleExtent, type StoredChannel } from './channel-files.ts';

/** What is known of a channel before its samples are read. */
export interface ShelvedChannel extends Omit<Channel, 'time' | 'value'>, SampleExtent {}

/** The channels of a kept day. Samples are decoded when they are first asked for, so that a picture of some does not wait for all. */
export interface ChannelShelf {
  /** In the order of the day's channels. */
  readonly about: readonly ShelvedChannel[];
  /** The channels at these positions, all when left out; one question after the other. Rejects when their file is damaged. */
  readonly read: (positions?: readonly number[]) => Promise<readonly Channel[]>;
}

/** `bytes` gives a whole file, verified. */
export async function createShelf(stored: readonly StoredChannel[], bytes: (file: string) => Promise<Uint8Array>): Promise<ChannelShelf> {
  const channels = new Map<number, Channel>();
  const files = new Map<string, Uint8Array>();
  const times = new Map<string, Float64Array>();
  const all = stored.map((_, position) => position);

  const decode = async (positions: readonly number[]): Promise<readonly Channel[]> => {
    const missing = positions.filter((position) => !channels.has(position));
    for (const file of new Set(missing.map((position) => stored[position]?.file ?? ''))) {
      const own = missing.filter((position) => stored[position]?.file === file);
      const content = files.get(file) ?? await bytes(file);
      const { time, values } = await decodeColumns(content, own.map((position) => stored[position] as StoredChannel), times.get(file));
      for (const position of own) {
        const channel = stored[position] as StoredChannel;
        channels.set(position, { ...aboutOf(channel), time, value: values.get(channel.column) ?? new Float64Array(0) });
      }
      /* the packed bytes are let go when nothing more of them is to come */
      times.set(file, time);
      if (all.every((position) => stored[position]?.file !== file || channels.has(position))) files.delete(file);
      else files.set(file, content);
    }
    return positions.map((position) => channels.get(position) as Channel);
  };

  let last: Promise<unknown> = Promise.resolve();
  const read: ChannelShelf['read'] = (positions = all) => {
    const answer = last.then(() => decode(positions));
    last = answer.catch(() => undefined);
    return answer;
  };
  const isTold = stored.every(({ extent }) => extent !== undefined);
  const extents = isTold ? stored.map(({ extent }) => extent as SampleExtent) : (await read()).map(extentOf);
  return { read, about: stored.map((channel, position) => ({ ...aboutOf(channel), ...(extents[position] as SampleExtent) })) };
}

/** Without where its samples lie. */
function aboutOf(channel: StoredChannel): Omit<Channel, 'time' | 'value'> {
  const { file: _, column: __, width: ___, extent: ____, ...about } = channel;
  return about;
}
