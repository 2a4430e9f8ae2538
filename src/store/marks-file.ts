import type { Mark } from '../../shared/marks.ts';
import { text, utf8 } from './case-files.ts';
import type { Disk } from './disk.ts';
import { CaseDamage, contentOf } from './manifest.ts';
import { sealed, unsealed } from './sealed-json.ts';

/** What was found at the machine; changes while the rest of a case stands, so its checksum is its own. */
export const MARKS = 'marks.json';
const FORMAT = 'sowtrace-marks';
const VERSION = 1;

export function marksBytes(marks: readonly Mark[]): Uint8Array {
  return utf8(sealed({ format: FORMAT, version: VERSION, marks }));
}

/** None when the case has no such file. Throws CaseDamage. */
export async function readMarks(disk: Disk, root: string, folder: string): Promise<readonly Mark[]> {
  if ((await disk.size(`${root}/${folder}/${MARKS}`)) === undefined) return [];
  const document = unsealed(text(await contentOf(disk, root, folder, MARKS)));
  if (document?.['format'] !== FORMAT || document['version'] !== VERSION) throw new CaseDamage(MARKS, 'is not what was written');
  return document['marks'] as readonly Mark[];
}
