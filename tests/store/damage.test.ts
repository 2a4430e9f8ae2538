import { mkdir, writeFile } from 'node:fs/promises';
import path from 'node:path';
import { expect, test } from 'vitest';
import { logsKey } from '../../shared/marks.ts';
import type { Analysis } from '../../shared/day.ts';
import { InputError, openStore, type Store } from '../../src/index.ts';
import { createRandom } from '../formats/damage.ts';
import { SMALL_SETUP, smallDay } from './small-day.ts';
import { filesUnder, storeFolder } from './store-folder.ts';

const FLIPS = 500;

const whole = async (store: Store, id: string): Promise<Analysis> => (await store.open(id)).analysis();

test(`${FLIPS} single bytes flipped in all files of a case: each is noticed on opening and named, none is shown`, async () => {
  const root = await storeFolder();
  const store = openStore(root);
  const analysis = smallDay('flipped');
  const { id } = await store.save({ analysis, setup: SMALL_SETUP, zone: 'UTC' });
  await store.marks.put(logsKey(analysis.day.logs), 'f', { state: 'confirmed', note: 'mud', seen: null });
  const other = await store.save({ analysis: smallDay('untouched'), zone: 'UTC' });
  const files = [...(await filesUnder(root))].filter(([name]) => name.includes(id));
  expect(files.length).toBeGreaterThanOrEqual(9);

  const random = createRandom(500);
  const unnoticed: string[] = [];
  for (let i = 0; i < FLIPS; i += 1) {
    const [name, bytes] = files[i % files.length] as (typeof files)[number];
    const at = random(bytes.length);
    const flipped = Buffer.from(bytes);
    flipped[at] = (flipped[at] as number) ^ (1 + random(255));
    await writeFile(path.join(root, name), flipped);
    const answer: unknown = await whole(store, id).catch((error: unknown) => error);
    if (!(answer instanceof InputError && answer.message.includes(path.basename(name)) && answer.message.includes(id) && answer.whatToDo !== '')) unnoticed.push(`${name} at ${at}`);
    await writeFile(path.join(root, name), bytes);
  }
  expect(unnoticed).toEqual([]);
  await expect(whole(store, id)).resolves.toBeDefined();
  await expect(whole(store, other.id)).resolves.toBeDefined();
});

test('a file cut, emptied, lengthened or gone is named by the list already', async () => {
  const root = await storeFolder();
  const store = openStore(root);
  const { id } = await store.save({ analysis: smallDay('cut'), zone: 'UTC' });
  for (const [name, bytes] of await filesUnder(root)) {
    for (const changed of [bytes.subarray(0, -1), Buffer.alloc(0), Buffer.concat([bytes, Buffer.from(' ')])]) {
      await writeFile(path.join(root, name), changed);
      expect((await store.list()).damaged.map(({ reason }) => reason.split(' ')[0])).toEqual([path.basename(name)]);
      await expect(store.open(id)).rejects.toThrow(path.basename(name));
    }
    await writeFile(path.join(root, name), bytes);
  }
  expect((await store.list()).damaged).toEqual([]);
});

test('readings come from their own file only, and that one is verified', async () => {
  const root = await storeFolder();
  const store = openStore(root);
  const { id } = await store.save({ analysis: smallDay('readings'), zone: 'UTC' });
  const files = await filesUnder(root);
  const named = (end: string): string => path.join(root, [...files.keys()].find((name) => name.endsWith(end)) ?? 'none');
  await writeFile(named('channels-001.parquet'), 'x');
  await expect(store.readings(id)).resolves.toBeDefined();
  await writeFile(named('readings.json'), '{}');
  await expect(store.readings(id)).rejects.toThrow('readings.json');
  await mkdir(path.join(root, 'machine=unnamed/date=2026-05-07/case=notacase'));
  expect((await store.list()).damaged.length).toBe(1);
});
