import type { CaseListing, CaseReadings, CaseTables, DamagedCase } from '../../shared/case.ts';
import { FINDINGS, MEASUREMENTS, READINGS, SETUP, readingsFrom, text } from './case-files.ts';
import type { CasePlace } from './case-place.ts';
import { casesUnder } from './case-search.ts';
import type { Disk } from './disk.ts';
import { CaseDamage, readManifest, readVerified, type Manifest } from './manifest.ts';
import { readMarks } from './marks-file.ts';

/** Many cases read in one walk through the store; damaged ones are named and left out. */
export interface ManyCases<T> {
  readonly cases: readonly T[];
  readonly damaged: readonly DamagedCase[];
}

type ReadFile = (name: string) => Promise<Uint8Array>;

async function eachCase<T>(disk: Disk, root: string, wanted: (listing: CaseListing) => boolean, read: (place: CasePlace, manifest: Manifest, file: ReadFile) => Promise<T>): Promise<ManyCases<T>> {
  const cases: T[] = [];
  const damaged: DamagedCase[] = [];
  let last = '';
  for (const place of await casesUnder(disk, root)) {
    /* Revisions come newest first: older ones are on their way out. */
    if (place.id === last) continue;
    last = place.id;
    try {
      const manifest = await readManifest(disk, root, place);
      if (wanted(manifest.listing)) cases.push(await read(place, manifest, (name) => readVerified(disk, root, place.folder, manifest, name)));
    } catch (error) {
      if (!(error instanceof CaseDamage)) throw error;
      damaged.push({ folder: place.folder, reason: `${error.message}.` });
    }
  }
  return { cases, damaged };
}

export const readingsOf = async ({ listing, files }: Manifest, file: ReadFile): Promise<CaseReadings> =>
  ({ listing, ...readingsFrom(await file(READINGS)), ...(files[SETUP] === undefined ? {} : { setup: text(await file(SETUP)) }) });

export const manyReadings = (disk: Disk, root: string, wanted: (listing: CaseListing) => boolean): Promise<ManyCases<CaseReadings>> =>
  eachCase(disk, root, wanted, (_place, manifest, file) => readingsOf(manifest, file));

export const manyTables = (disk: Disk, root: string): Promise<ManyCases<CaseTables>> =>
  eachCase(disk, root, () => true, async ({ folder, id }, _manifest, file) => {
    for (const name of [MEASUREMENTS, FINDINGS]) await file(name);
    const marks = await readMarks(disk, root, folder);
    return { id, measurements: `${root}/${folder}/${MEASUREMENTS}`, findings: `${root}/${folder}/${FINDINGS}`, marks: marks.map(({ finding, state }) => ({ finding, state })) };
  });
