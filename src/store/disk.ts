import { constants, type Dirent } from 'node:fs';
import { mkdir, open, readFile, readdir, rename, rm, rmdir, stat, statfs } from 'node:fs/promises';
import path from 'node:path';

/** What the store asks of the file system, and nothing else, so that tests can let each step fail. Failures are system errors with a `code`. */
export interface Disk {
  /** With its parents, readable by the owner only; no error when it is there. */
  readonly makeFolder: (place: string) => Promise<void>;
  /** Creates a file that was not there. */
  readonly create: (place: string) => Promise<DiskFile>;
  readonly read: (place: string) => Promise<Uint8Array>;
  /** Bytes of a file; undefined when it is not there. */
  readonly size: (place: string) => Promise<number | undefined>;
  /** What lies in a folder; nothing when it is not there. */
  readonly entries: (folder: string) => Promise<readonly DiskEntry[]>;
  /** Replaces a file that is there; fails on a folder that is. */
  readonly rename: (from: string, to: string) => Promise<void>;
  /** Makes what was created or renamed in a folder outlast a power cut. */
  readonly syncFolder: (folder: string) => Promise<void>;
  /** With everything in it; no error when it is not there. */
  readonly remove: (place: string) => Promise<void>;
  /** Only when it is empty; says whether it went. */
  readonly removeEmpty: (folder: string) => Promise<boolean>;
  /** Bytes that may still be written; undefined when the system does not say. */
  readonly free: (place: string) => Promise<number | undefined>;
}

export interface DiskFile {
  readonly write: (bytes: Uint8Array) => Promise<void>;
  readonly sync: () => Promise<void>;
  readonly close: () => Promise<void>;
}

export interface DiskEntry {
  readonly name: string;
  readonly isFolder: boolean;
  /** Milliseconds since 1970 UTC of its last change; asked for when needed. */
  readonly changed: () => Promise<number>;
}

const OWNER_ONLY = 0o700;
const OWNER_FILE = 0o600;

export const nodeDisk: Disk = {
  makeFolder,
  create: async (place) => {
    const handle = await open(place, constants.O_WRONLY | constants.O_CREAT | constants.O_EXCL, OWNER_FILE);
    return { write: (bytes) => handle.writeFile(bytes), sync: () => handle.sync(), close: () => handle.close() };
  },
  read: (place) => readFile(place),
  size: async (place) => {
    const about = await stat(place).catch(absent);
    return about?.isFile() === true ? about.size : undefined;
  },
  entries: async (folder) => {
    const entries: readonly Dirent[] = (await readdir(folder, { withFileTypes: true }).catch(absent)) ?? [];
    return entries.map((entry) => ({
      name: entry.name,
      isFolder: entry.isDirectory(),
      changed: async () => (await stat(`${folder}/${entry.name}`).catch(absent))?.mtimeMs ?? 0,
    }));
  },
  rename: (from, to) => patiently(() => rename(from, to)),
  syncFolder: async (folder) => {
    /* Windows cannot open a folder as a file; its renames are journalled. */
    if (process.platform === 'win32') return;
    const handle = await open(folder, 'r');
    try {
      await handle.sync();
    } finally {
      await handle.close();
    }
  },
  remove: (place) => rm(place, { recursive: true, force: true }),
  removeEmpty: (folder) => rmdir(folder).then(() => true, () => false),
  free: async (place) => {
    const disk = await statfs(place).catch(absent);
    return disk === undefined ? undefined : disk.bavail * disk.bsize;
  },
};

/** One folder after the other: Node's own way to make parents never ends where the system has no room for folders, as in `/proc`. */
async function makeFolder(place: string): Promise<void> {
  const isThere = async (): Promise<boolean> => (await stat(place).catch(absent))?.isDirectory() === true;
  if (await isThere()) return;
  const parent = path.dirname(place);
  if (parent !== place) await makeFolder(parent);
  try {
    await mkdir(place, { mode: OWNER_ONLY });
  } catch (error) {
    /* Another process may have made it meanwhile. */
    if (codeOf(error) !== 'EEXIST' || !(await isThere())) throw error;
  }
}

export function codeOf(error: unknown): string {
  return error instanceof Error && 'code' in error ? String(error.code) : '';
}

function absent(error: unknown): undefined {
  if (codeOf(error) !== 'ENOENT' && codeOf(error) !== 'ENOTDIR') throw error;
}

/** ms; together about ten seconds. */
const PAUSES = [20, 50, 100, 250, 500, 1000, 2000, 3000, 3000];

/** On Windows a scanner or indexer may hold a file for a moment. */
async function patiently(step: () => Promise<void>): Promise<void> {
  for (const pause of process.platform === 'win32' ? PAUSES : []) {
    try {
      return await step();
    } catch (error) {
      if (!['EPERM', 'EACCES', 'EBUSY'].includes(codeOf(error))) throw error;
      await new Promise((resolve) => { setTimeout(resolve, pause); });
    }
  }
  return step();
}
