import { execFile } from 'node:child_process';
import { copyFile, cp, mkdir, readFile, writeFile } from 'node:fs/promises';
import path from 'node:path';
import { gunzipSync } from 'node:zlib';
import { build } from 'esbuild';
import { beforeAll, describe, expect, test } from 'vitest';
import { openStore } from '../../src/index.ts';
import { storeFolder } from '../store/store-folder.ts';

const ROOT = path.resolve(import.meta.dirname, '../..');
const SAMPLES = path.join(ROOT, 'sample-logs');
const MUD = path.join(SAMPLES, 'mud-in-opener');

let place = '';
let program = '';
beforeAll(async () => {
  place = path.dirname(await storeFolder());
  /* Workers need JavaScript beside the program: built here, so that no earlier build is taken for this one. */
  await build({
    entryPoints: [path.join(ROOT, 'src/cli/main.ts'), path.join(ROOT, 'src/cli/each-worker.ts')], outdir: path.join(place, 'program'), outExtension: { '.js': '.js' },
    bundle: true, splitting: true, platform: 'node', format: 'esm', logLevel: 'error', external: ['express', 'esbuild', '@duckdb/node-api'],
    banner: { js: "import { createRequire } from 'node:module'; const require = createRequire(import.meta.url);" },
  });
  await writeFile(path.join(place, 'program/package.json'), '{"type":"module"}');
  program = path.join(place, 'program/main.js');
  const season = path.join(place, 'season');
  await mkdir(path.join(season, '02-folder'), { recursive: true });
  await copyFile(path.join(MUD, 'day.log.gz'), path.join(season, '01-mud.log.gz'));
  await copyFile(path.join(SAMPLES, 'clean-morning/day.csv.gz'), path.join(season, '02-folder/day.csv.gz'));
  await writeFile(path.join(season, '02-folder/readme.txt'), 'not a log');
  await writeFile(path.join(season, '03-zeros.log'), new Uint8Array(3000));
  await writeFile(path.join(season, '04-note.txt'), 'remember the milk');
});

const run = (...words: readonly string[]): Promise<{ readonly status: number; readonly out: readonly string[]; readonly err: string }> =>
  new Promise((resolve) => {
    execFile(process.execPath, [program, 'check', ...words, '--setup', path.join(MUD, 'setup.json'), '--signals', path.join(MUD, 'signals.json')], (error, out, err) =>
      resolve({ status: error === null ? 0 : Number(error.code), out: out.trimEnd().split('\n'), err }));
  });

describe('check --each', () => {
  test('a line a day in the order of names; one bad log stops nothing; kept days are left out the next time', async () => {
    const store = path.join(place, 'cases');
    const first = await run('--each', path.join(place, 'season'), '--save', '--store', store);
    expect(first.status).toBe(2);
    expect(first.out.map((line) => line.split(/\s{2,}/)[0])).toEqual(['01-mud.log.gz', '02-folder', '03-zeros.log', '04-note.txt']);
    expect(first.out[0]).toMatch(/2031-05-08 .*1 to put right, .*kept as c[0-9a-f]{15}$/);
    expect(first.out[1]).toMatch(/nothing to do +kept as c[0-9a-f]{15}$/);
    expect(first.out[2]).toContain('unreadable: 03-zeros.log begins with 3000 zero bytes');
    expect(first.out[3]).toContain('no log: 04-note.txt');
    expect(first.err).toContain('2 judged and kept');
    expect(first.err).toContain('one log could not be read');
    const kept = (await openStore(store).list()).cases;
    expect(kept.length).toBe(2);

    const season = path.join(place, 'season');
    await writeFile(path.join(season, '05-mud-renamed.log'), gunzipSync(await readFile(path.join(season, '01-mud.log.gz'))));
    const again = await run('--each', season, '--save', '--store', store);
    expect(again.out.filter((line) => line.includes('already kept as')).length).toBe(3);
    expect(again.err).toContain('0 judged and kept');
    expect((await openStore(store).list()).cases).toEqual(kept);

    const otherwise = await run('--each', season, '--save', '--store', store, '--zone', 'America/Regina');
    expect(otherwise.out[0]).toMatch(/ kept as c/);
    expect(otherwise.out[0]).not.toContain('already');
  });

  test('exit status as of one day', async () => {
    const clean = path.join(place, 'clean');
    await cp(path.join(place, 'season/02-folder'), path.join(clean, 'day'), { recursive: true });
    const kept = ['--save', '--store', path.join(place, 'cases')];
    expect((await run('--each', clean)).status).toBe(0);
    await copyFile(path.join(MUD, 'day.log.gz'), path.join(clean, 'mud.log.gz'));
    expect((await run('--each', clean, ...kept)).status).toBe(1);
  });
});
