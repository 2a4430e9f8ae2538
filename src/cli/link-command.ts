import { chmod, mkdir, rm, symlink, writeFile } from 'node:fs/promises';
import path from 'node:path';

/*
 * Last step of the build: puts `sowtrace` into node_modules/.bin, where npx finds it at once. A "bin" entry in package.json
 * would not do: npx then installs the whole project into a cache of its own first.
 */

const ROOT = path.resolve(import.meta.dirname, '../../..');
const PROGRAM = path.join(ROOT, 'dist/src/cli/main.js');
const BIN = path.join(ROOT, 'node_modules/.bin');

await mkdir(BIN, { recursive: true });
await chmod(PROGRAM, 0o755);
const link = path.join(BIN, 'sowtrace');
await rm(link, { force: true });
if (process.platform === 'win32') await writeFile(`${link}.cmd`, `@node "%~dp0\\..\\..\\dist\\src\\cli\\main.js" %*\r\n`);
else await symlink(path.relative(BIN, PROGRAM), link);
