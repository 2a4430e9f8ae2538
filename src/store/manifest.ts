import type { CaseListing } from '../../shared/case.ts';
import { InputError } from '../core/errors.ts';
import { text } from './case-files.ts';
import type { CasePlace } from './case-place.ts';
import type { Disk } from './disk.ts';
import { sealed, sha256, unsealed } from './sealed-json.ts';

/** What a case is made of; its own checksum stands in it. */
export interface Manifest {
  readonly listing: CaseListing;
  readonly files: Readonly<Record<string, { readonly bytes: number; readonly sha256: string }>>;
  readonly madeWith?: string;
}

export const MANIFEST = 'case.json';
const FORMAT = 'sowtrace-case';
const VERSION = 1;

export function manifestText(manifest: Manifest): string {
  return sealed({ format: FORMAT, version: VERSION, ...manifest });
}

export function manifestOf(listing: CaseListing, files: ReadonlyMap<string, Uint8Array>, madeWith: string | undefined): Manifest {
  return {
    listing,
    files: Object.fromEntries([...files].map(([name, bytes]) => [name, { bytes: bytes.length, sha256: sha256(bytes) }])),
    ...(madeWith === undefined ? {} : { madeWith }),
  };
}

/** Why a case cannot be trusted; `file` is the one to blame. */
export class CaseDamage extends Error {
  readonly file: string;

  constructor(file: string, reason: string) {
    super(`${file} ${reason}`);
    this.file = file;
  }
}

/** Reads and verifies a manifest. Throws CaseDamage. */
export async function readManifest(disk: Disk, root: string, { folder, id }: CasePlace): Promise<Manifest> {
  const written = await contentOf(disk, root, folder, MANIFEST);
  const document = unsealed(text(written));
  if (document === undefined) throw new CaseDamage(MANIFEST, 'is not what was written');
  if (document['format'] !== FORMAT) throw new CaseDamage(MANIFEST, 'describes no kept day');
  if (document['version'] !== VERSION) throw new CaseDamage(MANIFEST, `is of version ${String(document['version'])}, this Sowtrace knows ${VERSION}`);
  const manifest = document as unknown as Manifest;
  if (manifest.listing.id !== id) throw new CaseDamage(MANIFEST, `belongs to case ${manifest.listing.id}`);
  return manifest;
}

/** One file of a case, its checksum compared. Throws CaseDamage. */
export async function readVerified(disk: Disk, root: string, folder: string, manifest: Manifest, name: string): Promise<Uint8Array> {
  const expected = manifest.files[name];
  if (expected === undefined) throw new CaseDamage(name, 'was never part of it');
  const bytes = await contentOf(disk, root, folder, name);
  if (bytes.length !== expected.bytes) throw new CaseDamage(name, `has ${bytes.length} bytes instead of ${expected.bytes}`);
  if (sha256(bytes) !== expected.sha256) throw new CaseDamage(name, 'is not what was written');
  return bytes;
}

/** Files that are missing or cut, told without reading them. Throws CaseDamage. */
export async function checkSizes(disk: Disk, root: string, folder: string, manifest: Manifest): Promise<void> {
  for (const [name, { bytes }] of Object.entries(manifest.files)) {
    const size = await disk.size(`${root}/${folder}/${name}`);
    if (size === undefined) throw new CaseDamage(name, 'is missing');
    if (size !== bytes) throw new CaseDamage(name, `has ${size} bytes instead of ${bytes}`);
  }
}

export async function contentOf(disk: Disk, root: string, folder: string, name: string): Promise<Uint8Array> {
  try {
    return await disk.read(`${root}/${folder}/${name}`);
  } catch (error) {
    const code = error instanceof Error && 'code' in error ? String(error.code) : '';
    if (code === 'ENOENT') throw new CaseDamage(name, 'is missing');
    throw new CaseDamage(name, code === 'EIO' ? 'cannot be read: the disk reports an error' : `cannot be read: the system says ${code === '' ? String(error) : code}`);
  }
}

/** Damage as a sentence for people; other errors as they are. */
export function toldDamage(error: unknown, { id, folder }: CasePlace): unknown {
  if (!(error instanceof CaseDamage)) return error;
  const whatToDo = error.file === 'marks.json'
    ? 'Move marks.json out of its folder: the notes of this day are lost, the day itself is whole.'
    : `Remove it with sowtrace cases --remove ${id} and keep the day again from its logs.`;
  return new InputError('damaged-case', `The kept day ${id} is damaged: ${error.message} (${folder}).`, whatToDo);
}
