import { expect, test } from 'vitest';
import { encodeChannels, type StoredChannel } from '../../src/store/channel-files.ts';
import { createShelf } from '../../src/store/channel-shelf.ts';
import { channelOf, oddChannels } from './small-day.ts';

const channels = oddChannels();
const { channels: stored, files } = encodeChannels(channels, 0);
const asked: string[] = [];
const bytes = async (file: string): Promise<Uint8Array> => {
  asked.push(file);
  const content = files.get(file);
  if (content === undefined) throw new Error(`no ${file}`);
  return content;
};

test('what is known of channels is told without reading a file', async () => {
  asked.length = 0;
  const { about } = await createShelf(stored, bytes);
  expect(about).toEqual(channels.map(({ id, unit, source, time }) => ({ id, unit, source, samples: time.length, from: time[0] ?? 0, to: time.at(-1) ?? 0 })));
  expect(asked).toEqual([]);
});

test('some channels are read from their own files only, each file once, and come out as they went in', async () => {
  asked.length = 0;
  const { read } = await createShelf(stored, bytes);
  const some = [3, 0];
  expect(await read(some)).toEqual(some.map((position) => channels[position]));
  expect(new Set(asked)).toEqual(new Set(some.map((position) => stored[position]?.file)));
  const [first, again, all] = await Promise.all([read([4]), read([4]), read()]);
  expect(again[0]).toBe(first[0]);
  expect(all).toEqual(channels);
  expect(asked.length).toBe(new Set(asked).size);
});

test('questions are answered in the order they came: a few channels do not wait for all asked after them', async () => {
  const { read } = await createShelf(stored, bytes);
  const order: string[] = [];
  await Promise.all([read([0]).then(() => order.push('some')), read().then(() => order.push('all')), read([1]).then(() => order.push('one more'))]);
  expect(order).toEqual(['some', 'all', 'one more']);
});

test('a damaged file fails the questions for its channels and no others', async () => {
  const [one, other] = [channelOf('wheel.speed', Float64Array.of(0, 1), Float64Array.of(2, 3)), channelOf('gnss.speed', Float64Array.of(0.5), Float64Array.of(4))];
  const parts = encodeChannels([one, other], 0);
  const { read } = await createShelf(parts.channels, async (file) => {
    if (file === parts.channels[1]?.file) throw new Error('is not what was written');
    return parts.files.get(file) as Uint8Array;
  });
  await expect(read([1])).rejects.toThrow('is not what was written');
  expect(await read([0])).toEqual([one]);
  await expect(read()).rejects.toThrow('is not what was written');
});

test('days kept by the first versions do not tell their extents: they are read then', async () => {
  const old = stored.map(({ id, unit, source, file, column, width }): StoredChannel => ({ id, unit, source, file, column, width }));
  const { about } = await createShelf(old, bytes);
  expect(about).toEqual((await createShelf(stored, bytes)).about);
});
