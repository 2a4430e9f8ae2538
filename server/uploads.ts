import { randomUUID } from 'node:crypto';
import { createWriteStream } from 'node:fs';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { Transform, type Readable } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import type { UploadReply } from '../shared/api.ts';

/** Uploaded logs in a private folder under generated names; gone when the server stops. */
export interface Uploads {
  readonly keep: (name: string, body: Readable) => Promise<UploadReply>;
  readonly find: (upload: string) => { readonly path: string; readonly name: string } | undefined;
  readonly clear: () => Promise<void>;
}

export class UploadTooLarge extends Error {}

export function createUploads(mostBytes: number): Uploads {
  const kept = new Map<string, { readonly path: string; readonly name: string }>();
  let folder: Promise<string> | undefined;
  return {
    keep: async (name, body) => {
      folder ??= mkdtemp(path.join(tmpdir(), 'sowtrace-'));
      const upload = randomUUID();
      const place = path.join(await folder, upload);
      let bytes = 0;
      const counter = new Transform({
        transform: (chunk: Buffer, _, done) => {
          bytes += chunk.length;
          done(bytes > mostBytes ? new UploadTooLarge(`more than ${mostBytes} bytes`) : null, chunk);
        },
      });
      try {
        await pipeline(body, counter, createWriteStream(place, { mode: 0o600 }));
      } catch (error) {
        await rm(place, { force: true });
        throw error;
      }
      kept.set(upload, { path: place, name: path.basename(name.replaceAll('\\', '/')) || 'log' });
      return { upload, name, bytes };
    },
    find: (upload) => kept.get(upload),
    clear: async () => {
      if (folder !== undefined) await rm(await folder, { recursive: true, force: true });
      kept.clear();
    },
  };
}
