import { setImmediate } from 'node:timers/promises';
import type { CaseListing, CaseReadings, CaseTables, DamagedCase } from '../../shared/case.ts';
import type { Channel } from '../../shared/channel.ts';
import type { Analysis, Day } from '../../shared/day.ts';
import type { Marks } from '../../shared/marks.ts';
import { InputError } from '../core/errors.ts';
import { SETUP, caseFiles, keptDayFrom, listingOf, text, utf8, type CaseInput, type CaseWords } from './case-files.ts';
import { createMarks } from './case-marks.ts';
import { caseId, type CasePlace } from './case-place.ts';
import { casesUnder, newest, revisionsOf } from './case-search.ts';
import { isOfChannels } from './channel-files.ts';
import { createShelf, type ChannelShelf } from './channel-shelf.ts';
import type { Disk } from './disk.ts';
import { MANIFEST, CaseDamage, checkSizes, manifestOf, manifestText, readManifest, readVerified, toldDamage, type Manifest } from './manifest.ts';
import { manyReadings, manyTables, readingsOf, type ManyCases } from './many-cases.ts';
import { readMarks } from './marks-file.ts';
import { createPlacement } from './placement.ts';
import { outdatedShelves, shelfNow, shelves } from './removed.ts';

/** Days that are kept, one folder each, with everything that was said of them. */
export interface Store {
  readonly root: string;
  /** Newest day first. What cannot be trusted is named, never shown as data. */
  readonly list: () => Promise<{ readonly cases: readonly CaseListing[]; readonly damaged: readonly DamagedCase[] }>;
  /** Keeps a judged day; the same logs replace their earlier case. Throws InputError when the disk refuses; then nothing is left behind. */
  readonly save: (input: CaseInput) => Promise<SavedCase>;
  /** Without samples and evidence. */
  readonly readings: (id: string) => Promise<CaseReadings>;
  /** The readings of all cases that are wanted, in one walk. */
  readonly manyReadings: (wanted: (listing: CaseListing) => boolean) => Promise<ManyCases<CaseReadings>>;
  /** Where the measurements and findings of all cases lie as tables, in one walk. */
  readonly manyTables: () => Promise<ManyCases<CaseTables>>;
  /** A kept day, each file's checksum compared first, those of the samples when they are asked for. Throws InputError that names the file when one is damaged. */
  readonly open: (id: string) => Promise<OpenedCase>;
  /** Takes a case out of the lists; it can be restored for DAYS_TO_RESTORE days. */
  readonly remove: (id: string) => Promise<void>;
  readonly restore: (id: string) => Promise<CaseListing>;
  /** Cases that were removed and can be restored. */
  readonly removed: () => Promise<readonly CaseListing[]>;
  /** The case of these logs (SHA-256 of each), with what it was made with; undefined when they are not kept whole. */
  readonly find: (logHashes: readonly string[]) => Promise<{ readonly listing: CaseListing; readonly madeWith?: string } | undefined>;
  /** What was found at the machine: in the case of a kept day, in memory for others. */
  readonly marks: Marks;
}

export interface SavedCase {
  readonly id: string;
  readonly listing: CaseListing;
  /** Whether the logs had been kept before. */
  readonly replaced: boolean;
  /** Other cases that hold one of the logs. */
  readonly sharesLogsWith: readonly CaseListing[];
}

export interface OpenedCase {
  readonly listing: CaseListing;
  readonly setup?: string;
  readonly readings: Omit<Analysis, 'day'>;
  readonly day: Omit<Day, 'channels'>;
  readonly channels: ChannelShelf;
  /** Everything, all samples read. */
  readonly analysis: () => Promise<Analysis>;
}

const byDay = (a: CaseListing, b: CaseListing): number => b.start - a.start || b.savedAt - a.savedAt;

/** A store in the folder `root`, which is made when the first day is kept. */
export function createStore(root: string, disk: Disk, words: CaseWords): Store {
  const placement = createPlacement(root, disk);
  const { oneAtATime } = placement;

  const noCase = (id: string, which: string): InputError => new InputError('no-case', `There is no ${which} day ${id} in ${root}.`, 'sowtrace cases lists the days that are kept.');

  const placeFor = async (id: string): Promise<CasePlace> => {
    const place = newest(await revisionsOf(disk, root, id));
    if (place === undefined) throw noCase(id, 'kept');
    return place;
  };

  /** The case as it was removed last. */
  const removedPlace = async (id: string): Promise<{ readonly shelf: string; readonly place: CasePlace }> => {
    for (const shelf of await shelves(disk, root)) {
      const place = newest(await revisionsOf(disk, `${root}/${shelf}`, id));
      if (place !== undefined) return { shelf, place };
    }
    throw noCase(id, 'removed');
  };

  /** Makes room only beside other changes, so that looking at a store never deletes; what cannot be deleted now goes with the next change. */
  const dropOutdated = async (): Promise<void> => {
    for (const shelf of await outdatedShelves(disk, root, Date.now()).catch(() => [])) await placement.drop(shelf).catch(() => undefined);
  };

  const verified = async <T>(id: string, read: (place: CasePlace, manifest: Manifest, file: (name: string) => Promise<Uint8Array>) => Promise<T>): Promise<T> => {
    const place = await placeFor(id);
    try {
      const manifest = await readManifest(disk, root, place);
      return await read(place, manifest, (name) => readVerified(disk, root, place.folder, manifest, name));
    } catch (error) {
      throw toldDamage(error, place);
    }
  };

  const listUnder = async (under: string): Promise<{ readonly cases: readonly CaseListing[]; readonly damaged: readonly DamagedCase[] }> => {
    const cases = new Map<string, CaseListing>();
    const damaged: DamagedCase[] = [];
    for (const place of await casesUnder(disk, under)) {
      /* Revisions come newest first: older ones are on their way out. */
      if (cases.has(place.id)) continue;
      try {
        const manifest = await readManifest(disk, under, place);
        await checkSizes(disk, under, place.folder, manifest);
        cases.set(place.id, manifest.listing);
      } catch (error) {
        if (!(error instanceof CaseDamage)) throw error;
        damaged.push({ folder: place.folder, reason: `${error.message}.` });
      }
    }
    return { cases: [...cases.values()].sort(byDay), damaged };
  };
  const list: Store['list'] = () => listUnder(root);

  return {
    root,
    list,
    save: (input) => oneAtATime(async () => {
      const listing = listingOf(input, words.version, Date.now());
      const files = caseFiles(input, words);
      const manifest = utf8(manifestText(manifestOf(listing, files, input.madeWith)));
      const replaced = await placement.put(listing, new Map([...files, [MANIFEST, manifest]]));
      await dropOutdated();
      const hashes = new Set(listing.logs.map(({ sha256 }) => sha256));
      const others = (await list()).cases.filter(({ id, logs }) => id !== listing.id && logs.some(({ sha256 }) => hashes.has(sha256)));
      return { id: listing.id, listing, replaced, sharesLogsWith: others };
    }),
    readings: (id) => verified(id, (_place, manifest, file) => readingsOf(manifest, file)),
    manyReadings: (wanted) => manyReadings(disk, root, wanted),
    manyTables: () => manyTables(disk, root),
    open: (id) => verified(id, async (place, manifest, file) => {
      const contents = new Map<string, Uint8Array>();
      for (const name of Object.keys(manifest.files)) if (!isOfChannels(name)) contents.set(name, await file(name));
      await readMarks(disk, root, place.folder);
      await checkSizes(disk, root, place.folder, manifest);
      const kept = keptDayFrom((name) => {
        const content = contents.get(name);
        if (content === undefined) throw new CaseDamage(name, 'was never part of it');
        return content;
      });
      const channels = await createShelf(kept.channels, async (name) => {
        try {
          return await file(name);
        } catch (error) {
          throw toldDamage(error, place);
        }
      });
      const setup = contents.get(SETUP);
      return {
        listing: manifest.listing, ...(setup === undefined ? {} : { setup: text(setup) }), readings: kept.readings, day: kept.day, channels,
        analysis: async () => ({ ...kept.readings, day: { ...kept.day, channels: await readInTurns(channels) } }),
      };
    }),
    remove: (id) => oneAtATime(async () => {
      const place = await placeFor(id);
      const listing = await readManifest(disk, root, place).then((manifest) => manifest.listing, () => undefined);
      await placement.move(place.folder, root, `${root}/${shelfNow(listing, Date.now())}`);
      await placement.dropOthers(id);
      await dropOutdated();
    }),
    restore: (id) => oneAtATime(async () => {
      const { shelf, place } = await removedPlace(id);
      if ((await revisionsOf(disk, root, id)).length > 0) throw new InputError('already-kept', `The day ${id} was kept again after it had been removed.`, `Remove it first with sowtrace cases --remove ${id}.`);
      await placement.move(place.folder, `${root}/${shelf}`, root);
      return verified(id, async (_place, { listing }) => listing);
    }),
    removed: async () => {
      const found = new Map<string, CaseListing>();
      for (const shelf of await shelves(disk, root)) {
        for (const listing of (await listUnder(`${root}/${shelf}`)).cases) if (!found.has(listing.id)) found.set(listing.id, listing);
      }
      return [...found.values()].sort(byDay);
    },
    find: async (logHashes) => {
      const place = newest(await revisionsOf(disk, root, caseId(logHashes)));
      if (place === undefined) return undefined;
      try {
        const { listing, madeWith, ...manifest } = await readManifest(disk, root, place);
        await checkSizes(disk, root, place.folder, { listing, ...manifest });
        return { listing, ...(madeWith === undefined ? {} : { madeWith }) };
      } catch (error) {
        if (error instanceof CaseDamage) return undefined;
        throw error;
      }
    },
    marks: createMarks(disk, root, placement),
  };
}

/** Channels read at one go: another question waits no longer than these take. */
const AT_ONE_GO = 8;

/** All channels, a few at a time, so that questions for some are answered in between. */
async function readInTurns({ about, read }: ChannelShelf): Promise<readonly Channel[]> {
  for (let first = 0; first < about.length; first += AT_ONE_GO) {
    await read(about.slice(first, first + AT_ONE_GO).map((_, k) => first + k));
    await setImmediate();
  }
  return read();
}
