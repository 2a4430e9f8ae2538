import { createHash } from 'node:crypto';
import { open } from 'node:fs/promises';
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
}

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
  return opened(name, about.isFile() ? about.size : 0, async function* () {
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
}

/** Bytes already in memory, for uploads and tests. */
export function openBytes(name: string, bytes: Uint8Array): OpenedLog {
  return opened(name, bytes.length, () => bytesInPieces(bytes));
}

function opened(name: string, size: number, stored: () => ByteStream): OpenedLog {
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
    for await (const chunk of decompressed(name, counted(), report)) {
      hash.update(chunk);
      total += chunk.length;
      yield chunk;
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
