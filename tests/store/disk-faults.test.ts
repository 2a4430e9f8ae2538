import { readdir } from 'node:fs/promises';
import path from 'node:path';
import { describe, expect, test } from 'vitest';
import { InputError, openStore } from '../../src/index.ts';
import { nodeDisk } from '../../src/store/disk.ts';
import { failingDisk } from './failing-disk.ts';
import { smallDay } from './small-day.ts';
import { hashesUnder, storeFolder } from './store-folder.ts';

/** Only a case that took another's place may remain besides: whole, and gone with the next one kept. */
async function expectWhole(root: string, turns: ReadonlyMap<string, readonly number[]>): Promise<void> {
  const store = openStore(root);
  const { cases, damaged } = await store.list();
  expect(damaged).toEqual([]);
  expect(cases.map(({ name }) => name).sort()).toEqual([...turns.keys()].sort());
  for (const { id, name } of cases) expect(turns.get(name)).toContain((await (await store.open(id)).analysis()).summary.areaHa);
}

describe.each([['ENOSPC', false], ['ENOSPC', true], ['EIO', false], ['EIO', true]] as const)('%s at every step, staying: %s', (code, stays) => {
  test('keeping a further day: refused in one sentence, earlier days intact, nothing left behind', async () => {
    const root = await storeFolder();
    await openStore(root).save({ analysis: smallDay('earlier', 1), zone: 'UTC' });
    const before = await hashesUnder(root);
    const foldersBefore = (await readdir(root, { recursive: true })).sort();
    let refused = 0;
    for (let at = 1; ; at += 1) {
      const { disk, steps } = failingDisk(code, at, stays);
      const answer: unknown = await openStore(root, disk).save({ analysis: smallDay('new', at), setup: '{"machine":{"name":"other"}}', zone: 'UTC' }).catch((error: unknown) => error);
      if (steps.length < at) break;
      refused += 1;
      expect(answer, steps[at - 1]).toBeInstanceOf(InputError);
      const { message, whatToDo } = answer as InputError;
      expect(message).toContain('The day was not kept');
      if (code === 'ENOSPC') expect(message).toMatch(/it needs [\d.]+ MB \(\d+ bytes\), and the disk of .* is full/);
      expect(whatToDo).toContain('--store');
      /* A disk that fails for good cannot take back the very last step either: then the new day is there, whole. */
      const settled = stays && steps.at(-1)?.startsWith('rename') === true && steps.at(-2)?.startsWith('syncFolder') === true && steps[at - 1]?.startsWith('syncFolder') === true && steps.length === at + 1;
      if (settled) {
        await expectWhole(root, new Map([['earlier.log', [1]], ['new.log', [at]]]));
        await openStore(root).remove((await openStore(root).list()).cases.find(({ name }) => name === 'new.log')?.id ?? '');
        await nodeDisk.remove(path.join(root, '.removed'));
      }
      expect(await hashesUnder(root), steps[at - 1]).toEqual(before);
      expect((await readdir(root, { recursive: true })).sort()).toEqual(foldersBefore);
    }
    expect(refused).toBeGreaterThan(25);
    await expectWhole(root, new Map([['earlier.log', [1]], ['new.log', [refused + 1]]]));
  });

  test('replacing a day: always one whole case of it, the old or the new', async () => {
    const root = await storeFolder();
    await openStore(root).save({ analysis: smallDay('other', 7), zone: 'UTC' });
    await openStore(root).save({ analysis: smallDay('same', 0), zone: 'UTC' });
    let last = 0;
    let done = 0;
    for (let at = 1; ; at += 1) {
      const { disk, steps } = failingDisk(code, at, stays);
      const answer: unknown = await openStore(root, disk).save({ analysis: smallDay('same', at), zone: 'UTC' }).catch((error: unknown) => error);
      if (steps.length < at) break;
      done += 1;
      const isKept = !(answer instanceof InputError);
      if (isKept) expect(answer).toMatchObject({ replaced: true });
      await expectWhole(root, new Map([['other.log', [7]], ['same.log', isKept ? [at] : [last, at]]]));
      last = (await openStore(root).readings((await openStore(root).list()).cases.find(({ name }) => name === 'same.log')?.id ?? '')).summary.areaHa;
    }
    expect(done).toBeGreaterThan(25);
  });
});

test('a day larger than the room on the disk is refused before a byte is written', async () => {
  const root = await storeFolder();
  const { disk, steps } = failingDisk('ENOSPC', Number.POSITIVE_INFINITY, false);
  const saving = openStore(root, { ...disk, free: async () => 1000 }).save({ analysis: smallDay(), zone: 'UTC' });
  await expect(saving).rejects.toMatchObject({ code: 'disk-full', message: expect.stringMatching(/needs [\d.]+ MB \(\d+ bytes\).*has room for 0\.0 MB only/) as string });
  expect(steps.filter((step) => step.startsWith('create'))).toEqual([]);
});

test('nothing is renamed into place before it is on the disk', async () => {
  const root = await storeFolder();
  const { disk, steps } = failingDisk('EIO', Number.POSITIVE_INFINITY, false);
  await openStore(root, disk).save({ analysis: smallDay(), zone: 'UTC' });
  const settled = steps.findIndex((step) => step.startsWith('rename') && step.includes('/case='));
  const created = steps.filter((step) => step.startsWith('create')).map((step) => step.slice('create '.length));
  expect(created.length).toBeGreaterThanOrEqual(7);
  for (const file of created) {
    const synced = steps.indexOf(`sync ${file}`);
    expect(synced).toBeGreaterThan(steps.indexOf(`write ${file}`));
    expect(steps.indexOf(`syncFolder ${path.posix.dirname(file)}`)).toBeGreaterThan(synced);
    expect(steps.indexOf(`syncFolder ${path.posix.dirname(file)}`)).toBeLessThan(settled);
  }
  expect(steps[settled + 1]).toMatch(/^syncFolder .*date=/);
});

test.runIf(process.platform === 'linux')('a place where no folder can be made is refused at once, in one sentence', async () => {
  const answer: unknown = await openStore('/proc/nowhere/deep').save({ analysis: smallDay('new', 1), zone: 'UTC' }).catch((error: unknown) => error);
  expect(answer).toBeInstanceOf(InputError);
  expect(String(answer)).toContain('no folder can be made');
});
