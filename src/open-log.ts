import { createHash } from 'node:crypto';
import { open, readdir } from 'node:fs/promises';
import path from 'node:path';
import { InputError } from './core/errors.ts';
import { bytesInPieces, type ByteStream } from './core/byte-stream.ts';
import { decompressed, type Damage } from './reading/decompression.ts';

/** A log file opened for one reading from front to back. */
export interface OpenedLog {
  /** File name without folders. */
  readonly name: string;
  /** Bytes as stored; 0 when not known beforehand (a pipe). */
  readonly size: number;
  /** The decompressed bytes, once; a chunk is valid until the next one is asked for. */
  readonly bytes: () => ByteStream;
  /** Stored bytes taken so far. */
  readonly taken: () => number;
  /** Final once `bytes` has ended. */
  readonly outcome: () => ReadOutcome;
  /** Opens the file of this name, in any case, that lies in the same folder or archive. */
  readonly beside?: (name: string) => Promise<OpenedLog | undefined>;
  /** It was found in a folder or archive, where other things lie too: when it is no log it is left out, not refused. */
  readonly isFound?: boolean;
  /** What a reader should know of how it was found. */
  readonly notes?: readonly string[];
}

/** The stored bytes cannot be had to their end: what came before counts. Thrown while they are read. */
export class DamagedStorage extends Error {}

export interface ReadOutcome {
  /** Of the decompressed bytes, hex. */
  readonly sha256: string;
  /** Decompressed bytes. */
  readonly total: number;
  /** Set when the compressed data was cut off or damaged. */
  readonly damage?: Damage;
}

const READ_SIZE = 1 << 18;

/** Path → bytes, with gzip and zstd undone (told by content, not by name). Throws InputError when the file cannot be opened. */
export async function openLog(file: string): Promise<OpenedLog> {
  const name = path.basename(file);
  const handle = await open(file, 'r').catch((error: unknown) => {
    throw unreadable(file, error);
  });
  const about = await handle.stat();
  if (about.isDirectory()) {
    await handle.close();
    throw new InputError('is-folder', `${file} is a folder.`, 'Name the log files in it.');
  }
  const log = openStored(name, about.isFile() ? about.size : 0, async function* () {
    /* Two buffers: while one is worked on, the other is filled. */
    const buffers = [Buffer.allocUnsafe(READ_SIZE), Buffer.allocUnsafe(READ_SIZE)] as const;
    let turn = 0;
    const fill = async (buffer: Buffer): Promise<Uint8Array> => buffer.subarray(0, (await handle.read(buffer, 0, READ_SIZE, null)).bytesRead);
    try {
      let pending = fill(buffers[0]);
      for (;;) {
        const chunk = await pending.catch((error: unknown) => {
          throw unreadable(file, error);
        });
        if (chunk.length === 0) return;
        turn = 1 - turn;
        pending = fill(turn === 0 ? buffers[0] : buffers[1]);
        pending.catch(() => undefined);
        yield chunk;
      }
    } finally {
      await handle.close();
    }
  });
  return { ...log, beside: (wanted) => openBeside(path.dirname(file), wanted) };
}

/** Only names that a log can refer to: never a path. */
const PLAIN_NAME = /^[\w-]+\.[\w]+$/;

async function openBeside(folder: string, wanted: string): Promise<OpenedLog | undefined> {
  if (!PLAIN_NAME.test(wanted)) return undefined;
  const entries = await readdir(folder, { withFileTypes: true });
  const found = entries.find((entry) => entry.isFile() && entry.name.toLowerCase() === wanted.toLowerCase());
  return found === undefined ? undefined : openLog(path.join(folder, found.name));
}

/** Bytes already in memory, for uploads and tests. */
export function openBytes(name: string, bytes: Uint8Array): OpenedLog {
  return openStored(name, bytes.length, () => bytesInPieces(bytes));
}

/** From stored bytes of any origin. */
export function openStored(name: string, size: number, stored: () => ByteStream): OpenedLog {
  const hash = createHash('sha256');
  let sha256 = '';
  let taken = 0;
  let total = 0;
  let damage: Damage | undefined;

  async function* counted(): AsyncGenerator<Uint8Array> {
    for await (const chunk of stored()) {
      taken += chunk.length;
      yield chunk;
    }
  }

  async function* bytes(): AsyncGenerator<Uint8Array> {
    const report = (found: Damage): void => {
      damage = found;
    };
    try {
      for await (const chunk of decompressed(name, counted(), report)) {
        hash.update(chunk);
        total += chunk.length;
        yield chunk;
      }
    } catch (error) {
      if (!(error instanceof DamagedStorage)) throw error;
      damage = { offset: total, reason: error.message };
    }
    sha256 = hash.digest('hex');
  }

  return { name, size, bytes, taken: () => taken, outcome: () => ({ sha256, total, ...(damage === undefined ? {} : { damage }) }) };
}

const OPEN_ERRORS: Readonly<Record<string, readonly [string, string]>> = {
  ENOENT: ['there is no such file', 'Check the name and the folder.'],
  EACCES: ['reading it is not allowed', 'Change its permissions or copy it.'],
  EPERM: ['reading it is not allowed', 'Change its permissions or copy it.'],
  EISDIR: ['it is a folder', 'Name the log files in it.'],
  EIO: ['the disk or card reports a read error', 'Copy what can be copied from it and read the copy.'],
};

function unreadable(file: string, error: unknown): InputError {
  const code = error instanceof Error && 'code' in error ? String(error.code) : 'unknown';
  const [reason, whatToDo] = OPEN_ERRORS[code] ?? [`the system says ${code}`, 'Check the file and try again.'];
  return new InputError('cannot-read', `${file} cannot be read: ${reason}.`, whatToDo);
}
