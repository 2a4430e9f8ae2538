import { createHash } from 'node:crypto';
import { mkdtemp, readFile, readdir, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { afterAll } from 'vitest';

const made: string[] = [];
afterAll(async () => {
  for (const folder of made.splice(0)) await rm(folder, { recursive: true, force: true });
});

/** A place for a store that goes with the test file. */
export async function storeFolder(): Promise<string> {
  const folder = await mkdtemp(path.join(tmpdir(), 'sowtrace-store-'));
  made.push(folder);
  return path.join(folder, 'cases');
}

/** Every file under a folder with its content, by its path within. */
export async function filesUnder(folder: string): Promise<ReadonlyMap<string, Buffer>> {
  const entries = await readdir(folder, { recursive: true, withFileTypes: true }).catch(() => []);
  const files = entries.filter((entry) => entry.isFile()).map((entry) => path.join(entry.parentPath, entry.name)).sort();
  return new Map(await Promise.all(files.map(async (file) => [path.relative(folder, file).replaceAll('\\', '/'), await readFile(file)] as const)));
}

/** The same told by hashes, which compare faster. */
export async function hashesUnder(folder: string): Promise<Readonly<Record<string, string>>> {
  return Object.fromEntries([...(await filesUnder(folder))].map(([name, bytes]) => [name, createHash('sha256').update(bytes).digest('hex')]));
}
