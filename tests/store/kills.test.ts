import { mkdir } from 'node:fs/promises';
import path from 'node:path';
import { build } from 'esbuild';
import { expect, test } from 'vitest';
import { createRandom } from '../formats/damage.ts';
import { killSavers } from '../fuzz/store-kills.ts';
import { storeFolder } from './store-folder.ts';

/* The short version of `npm run fuzz -- store`. */

test('a process killed while it keeps days: every case is whole, nothing acknowledged is lost', async () => {
  const root = await storeFolder();
  await mkdir(root, { recursive: true });
  const saver = path.join(root, '../saver.mjs');
  await build({ entryPoints: [path.resolve(import.meta.dirname, '../fuzz/store-saver.ts')], outfile: saver, bundle: true, platform: 'node', format: 'esm', logLevel: 'error', external: ['@duckdb/node-api'], banner: { js: "import { createRequire } from 'node:module'; const require = createRequire(import.meta.url);" } });
  const { killed, acknowledged } = await killSavers(10, root, saver, createRandom(10));
  expect(killed).toBe(10);
  expect(acknowledged).toBeGreaterThan(2);
});
