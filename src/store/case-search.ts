import { placeOf, type CasePlace } from './case-place.ts';
import type { Disk } from './disk.ts';

/** All folders of cases under a root, newest revision of each id first. */
export async function casesUnder(disk: Disk, root: string): Promise<readonly CasePlace[]> {
  const found: CasePlace[] = [];
  for (const machine of await foldersOf(disk, root, 'machine=')) {
    for (const date of await foldersOf(disk, `${root}/${machine}`, 'date=')) {
      for (const name of await foldersOf(disk, `${root}/${machine}/${date}`, 'case=')) {
        const place = placeOf(`${machine}/${date}/${name}`);
        if (place !== undefined) found.push(place);
      }
    }
  }
  return found.sort((a, b) => a.id.localeCompare(b.id) || b.revision - a.revision);
}

export async function revisionsOf(disk: Disk, root: string, id: string): Promise<readonly CasePlace[]> {
  return (await casesUnder(disk, root)).filter((place) => place.id === id);
}

/** Undefined when there is none. */
export function newest(places: readonly CasePlace[]): CasePlace | undefined {
  return places.reduce<CasePlace | undefined>((best, place) => (best === undefined || place.revision > best.revision ? place : best), undefined);
}

async function foldersOf(disk: Disk, place: string, prefix: string): Promise<readonly string[]> {
  return (await disk.entries(place)).filter(({ name, isFolder }) => isFolder && name.startsWith(prefix)).map(({ name }) => name);
}
