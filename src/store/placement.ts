import path from 'node:path';
import type { CaseListing } from '../../shared/case.ts';
import { casePlace, type CasePlace } from './case-place.ts';
import { newest, revisionsOf } from './case-search.ts';
import { codeOf, type Disk } from './disk.ts';
import { MARKS } from './marks-file.ts';
import { checkRoom, stagingPlace, sweep, toldTrouble, writeSynced } from './staging.ts';

/** How folders and files get into the store and out of it: always whole. */
export interface Placement {
  /** Runs what changes the store one after another. */
  readonly oneAtATime: <T>(work: () => Promise<T>) => Promise<T>;
  /**
   * Puts a case in place: every file written aside, brought to the disk, then the folder renamed. An earlier revision goes only
   * afterwards, its marks are taken over. Says whether there was one. Throws InputError when the disk refuses; then nothing is left behind.
   */
  readonly put: (listing: CaseListing, files: ReadonlyMap<string, Uint8Array>) => Promise<boolean>;
  /** One file of a case, whole or not at all. */
  readonly replaceFile: (folder: string, name: string, bytes: Uint8Array) => Promise<void>;
  /** A case's folder from one root to another; what lay there goes. */
  readonly move: (folder: string, from: string, to: string) => Promise<void>;
  /** Deletes a folder: out of sight at once, whole or not at all. */
  readonly drop: (folder: string) => Promise<void>;
  /** Deletes every revision of the case. */
  readonly dropOthers: (id: string) => Promise<void>;
}

/** Others may take the next revision number meanwhile. */
const MOST_TRIES = 20;
const TAKEN = new Set(['ENOTEMPTY', 'EEXIST', 'EPERM']);

export function createPlacement(root: string, disk: Disk): Placement {
  let last: Promise<unknown> = Promise.resolve();

  const drop = async (folder: string): Promise<void> => {
    const aside = await stagingPlace(disk, root);
    await disk.rename(`${root}/${folder}`, aside);
    await disk.remove(aside);
    await tidy(folder, root);
  };

  /** Folders that hold nothing any more. */
  const tidy = async (folder: string, from: string): Promise<void> => {
    for (let parent = path.posix.dirname(folder); parent !== '.' && (await disk.removeEmpty(`${from}/${parent}`)); parent = path.posix.dirname(parent));
  };

  const makeParents = async (folder: string, under: string): Promise<void> => {
    const parent = path.posix.dirname(folder);
    await disk.makeFolder(`${under}/${parent}`);
    for (let place = path.posix.dirname(parent); ; place = path.posix.dirname(place)) {
      await disk.syncFolder(place === '.' ? under : `${under}/${place}`);
      if (place === '.') break;
    }
  };

  /** The staged folder under the first free revision. */
  const settle = async (staged: string, listing: CaseListing): Promise<CasePlace> => {
    for (let tries = 1; ; tries += 1) {
      const place = casePlace(listing, (newest(await revisionsOf(disk, root, listing.id))?.revision ?? 0) + 1);
      try {
        await makeParents(place.folder, root);
        await disk.rename(staged, `${root}/${place.folder}`);
      } catch (error) {
        if (tries < MOST_TRIES && TAKEN.has(codeOf(error)) && (await revisionsOf(disk, root, listing.id)).some(({ revision }) => revision >= place.revision)) continue;
        await tidy(place.folder, root);
        throw error;
      }
      try {
        await disk.syncFolder(`${root}/${path.posix.dirname(place.folder)}`);
      } catch (error) {
        await disk.rename(`${root}/${place.folder}`, staged);
        await tidy(place.folder, root);
        throw error;
      }
      return place;
    }
  };

  return {
    oneAtATime: (work) => {
      const next = last.then(work);
      last = next.catch(() => undefined);
      return next;
    },
    put: async (listing, files) => {
      const bytes = [...files.values()].reduce((sum, { length }) => sum + length, 0);
      let staged: string | undefined;
      try {
        staged = await stagingPlace(disk, root);
        await sweep(disk, root);
        await checkRoom(disk, root, bytes);
        await disk.makeFolder(staged);
        for (const [name, content] of files) await writeSynced(disk, `${staged}/${name}`, content);
        const before = await revisionsOf(disk, root, listing.id);
        const earlier = newest(before);
        const marks = earlier === undefined ? undefined : await contentIfThere(disk, `${root}/${earlier.folder}/${MARKS}`);
        if (marks !== undefined) await writeSynced(disk, `${staged}/${MARKS}`, marks);
        await disk.syncFolder(staged);
        const { revision } = await settle(staged, listing);
        /* The day is kept; an earlier revision that cannot be deleted now goes with the next one. */
        for (const old of before.filter((place) => place.revision < revision)) await drop(old.folder).catch(() => undefined);
        return earlier !== undefined;
      } catch (error) {
        if (staged !== undefined) await disk.remove(staged).catch(() => undefined);
        throw toldTrouble(error, root, bytes);
      }
    },
    replaceFile: async (folder, name, bytes) => {
      let staged: string | undefined;
      try {
        staged = await stagingPlace(disk, root);
        await writeSynced(disk, staged, bytes);
        await disk.rename(staged, `${root}/${folder}/${name}`);
        await disk.syncFolder(`${root}/${folder}`);
      } catch (error) {
        if (staged !== undefined) await disk.remove(staged).catch(() => undefined);
        throw toldTrouble(error, root, bytes.length);
      }
    },
    move: async (folder, from, to) => {
      try {
        if ((await disk.entries(`${to}/${folder}`)).length > 0) await disk.remove(`${to}/${folder}`);
        await makeParents(folder, to);
        await disk.rename(`${from}/${folder}`, `${to}/${folder}`);
        await disk.syncFolder(`${to}/${path.posix.dirname(folder)}`);
        await disk.syncFolder(`${from}/${path.posix.dirname(folder)}`);
        await tidy(folder, from);
      } catch (error) {
        throw toldTrouble(error, root, 0);
      }
    },
    drop,
    dropOthers: async (id) => {
      for (const { folder } of await revisionsOf(disk, root, id)) await drop(folder);
    },
  };
}

async function contentIfThere(disk: Disk, place: string): Promise<Uint8Array | undefined> {
  return (await disk.size(place)) === undefined ? undefined : disk.read(place);
}
