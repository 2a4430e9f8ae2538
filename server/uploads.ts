import { randomUUID } from 'node:crypto';
import { createWriteStream } from 'node:fs';
import { mkdtemp, rm, statfs } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { Transform, type Readable } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import type { UploadReply } from '../shared/api.ts';

export interface KeptUpload {
  readonly path: string;
  readonly name: string;
}

/** Uploaded logs in a private folder under generated names; gone when their day is closed or the server stops. */
export interface Uploads {
  /** `announced` = size that the sender states, when it does. */
  readonly keep: (name: string, body: Readable, announced?: number) => Promise<UploadReply>;
  readonly find: (upload: string) => KeptUpload | undefined;
  /** Removes one by its id. */
  readonly drop: (upload: string) => Promise<boolean>;
  /** Removes those stored at these paths; other paths are left alone. */
  readonly release: (paths: readonly string[]) => Promise<void>;
  /** Bytes one file may have now: the limit, or what the disk has room for. */
  readonly room: () => Promise<number>;
  readonly clear: () => Promise<void>;
}

export class UploadTooLarge extends Error {}
export class UploadWithoutRoom extends Error {}

/** Bytes of the disk that stay free for the rest of the computer. */
const SPARED_BYTES = 256 * 2 ** 20;
const LONGEST_NAME = 255;

export function createUploads(mostBytes: number, place: string = tmpdir()): Uploads {
  const kept = new Map<string, KeptUpload>();
  let folder: Promise<string> | undefined;

  const freeBytes = async (): Promise<number> => {
    const disk = await statfs(place).catch(() => undefined);
    return disk === undefined ? Number.POSITIVE_INFINITY : Math.max(0, disk.bavail * disk.bsize - SPARED_BYTES);
  };
  const room = async (): Promise<number> => Math.min(mostBytes, await freeBytes());

  const checkAnnounced = async (bytes: number | undefined): Promise<void> => {
    if (bytes === undefined) return;
    if (bytes > mostBytes) throw new UploadTooLarge(`${bytes} bytes, ${mostBytes} is the most`);
    const free = await freeBytes();
    if (bytes > free) throw new UploadWithoutRoom(`the file has ${inMegabytes(bytes)}, the disk has room for ${inMegabytes(free)}`);
  };

  const drop = async (upload: string): Promise<boolean> => {
    const file = kept.get(upload);
    if (file === undefined) return false;
    kept.delete(upload);
    await rm(file.path, { force: true });
    return true;
  };

  return {
    keep: async (name, body, announced) => {
      await checkAnnounced(announced);
      folder ??= mkdtemp(path.join(place, 'sowtrace-'));
      const upload = randomUUID();
      const target = path.join(await folder, upload);
      let bytes = 0;
      const counter = new Transform({
        transform: (chunk: Buffer, _, done) => {
          bytes += chunk.length;
          done(bytes > mostBytes ? new UploadTooLarge(`more than ${mostBytes} bytes`) : null, chunk);
        },
      });
      try {
        await pipeline(body, counter, createWriteStream(target, { mode: 0o600 }));
      } catch (error) {
        await rm(target, { force: true });
        if (isFull(error)) throw new UploadWithoutRoom(`the disk filled up after ${inMegabytes(bytes)}`);
        throw error;
      }
      const shown = dataName(name);
      kept.set(upload, { path: target, name: shown });
      return { upload, name: shown, bytes };
    },
    find: (upload) => kept.get(upload),
    drop,
    release: async (paths) => {
      const gone = [...kept].filter(([, file]) => paths.includes(file.path)).map(([upload]) => upload);
      await Promise.all(gone.map(drop));
    },
    room,
    clear: async () => {
      if (folder !== undefined) await rm(await folder, { recursive: true, force: true });
      kept.clear();
    },
  };
}

/** A file's name as data to show, never as a path: no folders, no control characters, no more than 255 characters. */
export function dataName(name: string): string {
  const last = name.replaceAll('\\', '/').split('/').findLast((part) => part !== '') ?? '';
  const plain = [...last].filter((character) => (character.codePointAt(0) ?? 0) >= 32 && character !== '\u007f').join('').trim();
  return plain.slice(0, LONGEST_NAME) || 'log';
}

const inMegabytes = (bytes: number): string => `${(bytes / 1e6).toFixed(bytes < 1e7 ? 1 : 0)} MB`;

function isFull(error: unknown): boolean {
  return error instanceof Error && 'code' in error && (error.code === 'ENOSPC' || error.code === 'EDQUOT');
}
