import { randomBytes } from 'node:crypto';
import { hostname } from 'node:os';
import { InputError } from '../core/errors.ts';
import { codeOf, type Disk } from './disk.ts';

/** Where things are written before they are in place, and taken to before they are deleted. */
export const INCOMING = '.incoming';

/** ms; whoever works longer at one case is gone. */
const OLDEST = 24 * 3600 * 1000;
const HERE = hostname().replaceAll(/[^\w]/g, '').slice(0, 30);
const NAME = /^(\w*)-(\d+)-[0-9a-f]{12}$/;

/** A fresh name in the staging folder, which is made; it tells whose it is. */
export async function stagingPlace(disk: Disk, root: string): Promise<string> {
  await disk.makeFolder(`${root}/${INCOMING}`);
  return `${root}/${INCOMING}/${HERE}-${process.pid}-${randomBytes(6).toString('hex')}`;
}

/** Removes what processes that are gone left behind. */
export async function sweep(disk: Disk, root: string): Promise<void> {
  for (const { name, changed } of await disk.entries(`${root}/${INCOMING}`)) {
    const [, host, pid] = NAME.exec(name) ?? [];
    const isGone = host === HERE && pid !== undefined && !isAlive(Number(pid));
    if (isGone || Date.now() - (await changed()) > OLDEST) await disk.remove(`${root}/${INCOMING}/${name}`);
  }
}

function isAlive(pid: number): boolean {
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    return codeOf(error) === 'EPERM';
  }
}

/** One file, on the disk when this resolves. */
export async function writeSynced(disk: Disk, place: string, bytes: Uint8Array): Promise<void> {
  const file = await disk.create(place);
  try {
    await file.write(bytes);
    await file.sync();
  } finally {
    await file.close();
  }
}

/** Throws InputError when the disk says that it has less room than `bytes`. */
export async function checkRoom(disk: Disk, root: string, bytes: number): Promise<void> {
  const free = await disk.free(root);
  if (free !== undefined && free < bytes) throw diskFull(root, bytes, `has room for ${megabytes(free)} only`);
}

/** What the system refused while `bytes` were being kept, as a sentence; our own mistakes as they are. */
export function toldTrouble(error: unknown, root: string, bytes: number): unknown {
  const code = codeOf(error);
  if (code === 'ENOSPC' || code === 'EDQUOT') return diskFull(root, bytes, 'is full');
  const reason = REASONS[code];
  if (reason === undefined) return error;
  return new InputError('cannot-keep', `The day was not kept: in ${root}, ${reason}.`, 'Choose another folder with --store or SOWTRACE_STORE; days kept before are untouched.');
}

const REASONS: Readonly<Record<string, string>> = {
  EIO: 'the disk reports an error', EROFS: 'the disk cannot be written to', EACCES: 'writing is not allowed', EPERM: 'writing is not allowed',
  ENOENT: 'no folder can be made', ENOTDIR: 'a file lies where a folder should be', EEXIST: 'a file lies where a folder should be', ENAMETOOLONG: 'the path is too long', EMFILE: 'too many files are open',
};

function diskFull(root: string, bytes: number, state: string): InputError {
  return new InputError('disk-full', `The day was not kept: it needs ${megabytes(bytes)} (${bytes} bytes), and the disk of ${root} ${state}.`, 'Make room or choose another folder with --store or SOWTRACE_STORE; days kept before are untouched.');
}

const megabytes = (bytes: number): string => `${(bytes / 1e6).toFixed(bytes < 1e7 ? 1 : 0)} MB`;
