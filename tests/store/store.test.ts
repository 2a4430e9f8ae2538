import { mkdir, readdir, rename, rm, writeFile } from 'node:fs/promises';
import path from 'node:path';
import { describe, expect, test, vi } from 'vitest';
import type { Analysis } from '../../shared/day.ts';
import { logsKey } from '../../shared/marks.ts';
import { defaultStoreRoot, openStore, type Store } from '../../src/index.ts';
import { SMALL_SETUP, logOf, smallDay } from './small-day.ts';
import { filesUnder, hashesUnder, storeFolder } from './store-folder.ts';

const ofLogs = (...contents: readonly string[]): Analysis => {
  const day = smallDay();
  return { ...day, day: { ...day.day, logs: contents.map((content) => logOf(content)) } };
};
const caseFolders = async (root: string): Promise<string[]> => [...(await filesUnder(root)).keys()].filter((name) => name.endsWith('/case.json')).map((name) => path.posix.dirname(name));

describe('one case for the same logs', () => {
  test('renamed, in another order or given twice, on another machine’s name: the same case, replaced', async () => {
    const root = await storeFolder();
    const store = openStore(root);
    const first = await store.save({ analysis: ofLogs('a', 'b'), zone: 'UTC' });
    const renamed = ofLogs('b', 'a', 'b');
    const again = await store.save({ analysis: { ...renamed, day: { ...renamed.day, logs: renamed.day.logs.map((log, i) => ({ ...log, file: `copy ${i}` })) } }, setup: SMALL_SETUP, zone: 'UTC' });
    expect(again).toMatchObject({ id: first.id, replaced: true });
    expect(await caseFolders(root)).toEqual([`machine=drill-elan-60/date=2026-05-07/case=${first.id}-2`]);
    expect((await store.list()).cases).toEqual([again.listing]);
    expect((await store.open(first.id)).setup).toBe(SMALL_SETUP);
  });

  test('a case that shares one log is told, and stays', async () => {
    const store = openStore(await storeFolder());
    const first = await store.save({ analysis: ofLogs('a', 'b'), zone: 'UTC' });
    const second = await store.save({ analysis: ofLogs('b', 'c'), zone: 'UTC' });
    expect(second.replaced).toBe(false);
    expect(second.sharesLogsWith).toEqual([first.listing]);
    expect((await store.list()).cases.length).toBe(2);
  });

  test('ten at once from two stores: one case, whole', async () => {
    const root = await storeFolder();
    const stores = [openStore(root), openStore(root)] as const;
    await Promise.all(Array.from({ length: 10 }, (_, i) => stores[(i % 2) as 0 | 1].save({ analysis: smallDay('same', i), zone: 'UTC' })));
    const { cases, damaged } = await openStore(root).list();
    expect({ n: cases.length, damaged }).toEqual({ n: 1, damaged: [] });
    await expect(openStore(root).open(cases[0]?.id ?? '')).resolves.toBeDefined();
    /* What the two overtook of each other goes with the next one kept. */
    await openStore(root).save({ analysis: smallDay('same', 99), zone: 'UTC' });
    expect((await caseFolders(root)).length).toBe(1);
  });

  test('what it was made with is kept to compare', async () => {
    const store = openStore(await storeFolder());
    const analysis = smallDay('made');
    await store.save({ analysis, zone: 'UTC', madeWith: 'x' });
    expect(await store.find(analysis.day.logs.map(({ sha256 }) => sha256))).toMatchObject({ madeWith: 'x', listing: { name: 'made.log' } });
    expect(await store.find(['other'])).toBeUndefined();
  });
});

describe('removing can be undone', () => {
  test('removed, listed as removed, restored', async () => {
    const root = await storeFolder();
    const store = openStore(root);
    const { id, listing } = await store.save({ analysis: smallDay(), zone: 'UTC' });
    const before = await hashesUnder(root);
    await store.remove(id);
    expect(await store.list()).toEqual({ cases: [], damaged: [] });
    expect(await store.removed()).toEqual([listing]);
    await expect(store.open(id)).rejects.toMatchObject({ kind: 'input', code: 'no-case' });
    expect(await store.restore(id)).toEqual(listing);
    expect(await hashesUnder(root)).toEqual(before);
    expect(await store.removed()).toEqual([]);
  });

  test('not over a day that was kept again; removing twice keeps the later', async () => {
    const store = openStore(await storeFolder());
    const { id } = await store.save({ analysis: smallDay('a', 1), zone: 'UTC' });
    await store.remove(id);
    await store.save({ analysis: smallDay('a', 2), zone: 'UTC' });
    await expect(store.restore(id)).rejects.toMatchObject({ code: 'already-kept' });
    await store.remove(id);
    await store.restore(id);
    expect((await store.readings(id)).summary.areaHa).toBe(2);
  });

  describe('for 90 days, counted from the removal', () => {
    const DAY = 86_400_000;
    const dateOf = (time: number): string => new Date(time).toISOString().slice(0, 10);
    /** As if the day that was removed just now had been removed then. */
    const removedOn = async (root: string, time: number): Promise<void> => {
      const [shelf = ''] = await readdir(path.join(root, '.removed'));
      await rename(path.join(root, '.removed', shelf), path.join(root, '.removed', `since=${dateOf(time)}`));
    };
    const storeWithRemoved = async (): Promise<{ readonly root: string; readonly store: Store; readonly id: string }> => {
      const root = await storeFolder();
      const store = openStore(root);
      const { id } = await store.save({ analysis: smallDay('gone'), zone: 'UTC' });
      await store.remove(id);
      return { root, store, id };
    };

    test('90 days later it still comes back, whatever was kept and removed since', async () => {
      const { root, store, id } = await storeWithRemoved();
      await removedOn(root, Date.now() - 90 * DAY);
      await store.remove((await store.save({ analysis: smallDay('other'), zone: 'UTC' })).id);
      expect((await store.removed()).map(({ name }) => name)).toEqual(['other.log', 'gone.log']);
      expect((await store.restore(id)).id).toBe(id);
    });

    test.each([['kept', false], ['removed', true]])('later than that it goes when a day is next %s, not by looking', async (_, isRemoving) => {
      const { root, store, id } = await storeWithRemoved();
      const other = isRemoving ? (await store.save({ analysis: smallDay('other'), zone: 'UTC' })).id : '';
      await removedOn(root, Date.now() - 92 * DAY);
      await store.list();
      expect((await store.removed()).map((removed) => removed.id)).toEqual([id]);
      if (isRemoving) await store.remove(other);
      else await store.save({ analysis: smallDay('other'), zone: 'UTC' });
      expect((await store.removed()).map((removed) => removed.id)).toEqual(isRemoving ? [other] : []);
      await expect(store.restore(id)).rejects.toMatchObject({ code: 'no-case' });
      expect((await caseFolders(root)).length).toBe(1);
      expect(await readdir(path.join(root, '.incoming'))).toEqual([]);
    });

    test('what lies there without a date stays, and comes back', async () => {
      const { root, store, id } = await storeWithRemoved();
      const [shelf = ''] = await readdir(path.join(root, '.removed'));
      await rename(path.join(root, '.removed', shelf), path.join(root, 'aside'));
      await rename(path.join(root, 'aside'), path.join(root, '.removed'));
      await store.save({ analysis: smallDay('other'), zone: 'UTC' });
      expect((await store.removed()).map((removed) => removed.id)).toEqual([id]);
      expect((await store.restore(id)).id).toBe(id);
    });

    test('a clock that was far behind while it was removed loses nothing', async () => {
      const root = await storeFolder();
      const store = openStore(root);
      const { id, listing } = await store.save({ analysis: smallDay('gone'), zone: 'UTC' });
      vi.useFakeTimers({ toFake: ['Date'], now: Date.UTC(2000, 0, 1) });
      try {
        await store.remove(id);
      } finally {
        vi.useRealTimers();
      }
      expect(await readdir(path.join(root, '.removed'))).toEqual([`since=${dateOf(Math.max(listing.savedAt, (listing.start + listing.duration) * 1000))}`]);
      await store.save({ analysis: smallDay('other'), zone: 'UTC' });
      expect((await store.restore(id)).id).toBe(id);
    });
  });

  test('an id that is no case, also one that tries a path', async () => {
    const store = openStore(await storeFolder());
    for (const id of ['c000000000000000', '../..', '', 'case=x']) await expect(store.remove(id)).rejects.toMatchObject({ kind: 'input' });
  });
});

describe('marks', () => {
  const mark = { state: 'confirmed', note: 'mud', seen: null } as const;

  test('of a day not kept in memory, of a kept one in its case, taken over by the next revision', async () => {
    const root = await storeFolder();
    const store = openStore(root);
    const analysis = smallDay('marked');
    const logs = logsKey(analysis.day.logs);
    const first = await store.marks.put(logs, 'f', mark);
    expect(await openStore(root).marks.list(logs)).toEqual([]);
    const { id } = await store.save({ analysis, zone: 'UTC' });
    await store.marks.keep(logs);
    expect(await openStore(root).marks.list(logs)).toEqual([first]);
    expect(await store.marks.put(logs, 'f', mark)).toBeUndefined();
    const second = await store.marks.put(logs, 'f', { ...mark, state: 'fixed', seen: first?.at ?? 0 });
    await store.marks.put(logs, 'g', mark);
    await store.marks.remove(logs, 'g');
    await store.save({ analysis: smallDay('marked', 1), zone: 'UTC' });
    expect(await openStore(root).marks.list(logs)).toEqual([second]);
    expect(store.marks.revision(logs)).toBe(5);
    await store.remove(id);
    expect(await store.marks.list(logs)).toEqual([]);
    await store.restore(id);
    expect(await store.marks.list(logs)).toEqual([second]);
  });

  test('many at once lose none', async () => {
    const store = openStore(await storeFolder());
    const analysis = smallDay('many');
    const logs = logsKey(analysis.day.logs);
    await store.save({ analysis, zone: 'UTC' });
    await Promise.all(Array.from({ length: 20 }, (_, i) => store.marks.put(logs, `f${i}`, mark)));
    expect((await store.marks.list(logs)).length).toBe(20);
  });
});

describe('what lies about', () => {
  test('left-overs of dead processes go, those of live ones stay; foreign files are left alone', async () => {
    const root = await storeFolder();
    const store = openStore(root);
    const { hostname } = await import('node:os');
    const here = hostname().replaceAll(/[^\w]/g, '').slice(0, 30);
    const leftOver = path.join(root, '.incoming', `${here}-999999999-0123456789ab`);
    const ours = path.join(root, '.incoming', `${here}-${process.pid}-0123456789ab`);
    const elsewhere = path.join(root, '.incoming', 'another-999999999-0123456789ab');
    for (const folder of [leftOver, ours, elsewhere]) await mkdir(folder, { recursive: true });
    await writeFile(path.join(leftOver, 'case.json'), 'x');
    await writeFile(path.join(root, 'letter.txt'), 'mine');
    await store.save({ analysis: smallDay(), zone: 'UTC' });
    expect((await readdir(path.join(root, '.incoming'))).sort()).toEqual([path.basename(ours), path.basename(elsewhere)].sort());
    expect((await filesUnder(root)).get('letter.txt')?.toString()).toBe('mine');
  });

  test('a case without manifest, under another’s name or of a later version is named as damaged, the others open', async () => {
    const root = await storeFolder();
    const store = openStore(root);
    const [a, b, c] = [await store.save({ analysis: smallDay('a'), zone: 'UTC' }), await store.save({ analysis: smallDay('b'), zone: 'UTC' }), await store.save({ analysis: smallDay('c'), zone: 'UTC' })];
    const date = path.join(root, 'machine=unnamed/date=2026-05-07');
    await rename(path.join(date, `case=${a.id}`), path.join(date, 'case=c000000000000000'));
    await rm(path.join(date, `case=${b.id}`, 'case.json'));
    const { cases, damaged } = await openStore(root).list();
    expect(cases).toEqual([c.listing]);
    expect(damaged.map(({ reason }) => reason).sort()).toEqual([`case.json belongs to case ${a.id}.`, 'case.json is missing.']);
    await expect(store.open(c.id)).resolves.toBeDefined();
    await expect(store.open(b.id)).rejects.toMatchObject({ kind: 'input', code: 'damaged-case', message: expect.stringContaining('case.json is missing') as string });
    /* A damaged case can be put away, and its logs kept again. */
    await store.remove(b.id);
    expect((await store.list()).damaged.length).toBe(1);
    expect((await store.save({ analysis: smallDay('b'), zone: 'UTC' })).replaced).toBe(false);
  });

  test('where the store is by default', () => {
    expect(defaultStoreRoot({ SOWTRACE_STORE: '/there', HOME: '/home/x' })).toBe('/there');
    expect(defaultStoreRoot({ HOME: '/home/x' })).toBe(path.join('/home/x', 'sowtrace-cases'));
  });
});
