import { readFile, writeFile } from 'node:fs/promises';
import path from 'node:path';
import { beforeAll, describe, expect, test } from 'vitest';
import type { CaseListing } from '../../shared/case.ts';
import { filesUnder, storeFolder } from '../store/store-folder.ts';
import { sowtrace, type Heard } from './terminal.ts';

const CLEAN = path.resolve(import.meta.dirname, '../../sample-logs/clean-morning');
const clean = [path.join(CLEAN, 'day.csv.gz'), '--setup', path.join(CLEAN, 'setup.json')];

let root = '';
let environment: Readonly<Record<string, string>> = {};
let saved: Heard;
let listing: CaseListing;
const cases = async (...words: readonly string[]): Promise<{ cases: CaseListing[]; damaged: unknown[] }> =>
  JSON.parse((await sowtrace(['cases', '--format', 'json', ...words], { environment })).out) as { cases: CaseListing[]; damaged: unknown[] };

beforeAll(async () => {
  root = await storeFolder();
  environment = { SOWTRACE_STORE: root };
  saved = await sowtrace(['check', ...clean, '--save'], { environment });
  listing = (await cases()).cases[0] as CaseListing;
});

describe('kept days', () => {
  test('are listed for people and for programs', async () => {
    expect(saved.status).toBe(0);
    expect(saved.out).toContain('Nothing to do');
    expect(saved.err).toMatch(/^Kept as c[0-9a-f]{15} in /);
    const { status, out } = await sowtrace(['cases'], { environment });
    expect(status).toBe(0);
    expect(out.split('\n')[1]).toMatch(new RegExp(`^${listing.id}  \\d{4}-\\d{2}-\\d{2}  \\d{2}:\\d{2} .*day\\.csv\\.gz$`));
    expect(listing).toMatchObject({ name: 'day.csv.gz', actions: 0, watches: 0 });
    const setup = [...(await filesUnder(root))].find(([name]) => name.endsWith('/setup.json'))?.[1];
    expect(setup).toEqual(await readFile(path.join(CLEAN, 'setup.json')));
  });

  test('kept again: said so, still one', async () => {
    const elsewhere = await storeFolder();
    for (const words of ['Kept as', 'Kept again as']) {
      const { err } = await sowtrace(['check', ...clean, '--save', '--store', elsewhere], { environment });
      expect(err).toContain(`${words} ${listing.id}`);
    }
    expect((await cases('--store', elsewhere)).cases.length).toBe(1);
  });

  test('removing asks, says how to undo it, and can be undone', async () => {
    const nobody = await sowtrace(['cases', '--remove', listing.id.slice(0, 6)], { environment });
    expect(nobody).toMatchObject({ status: 2, out: '' });
    expect(nobody.err).toContain('--yes');
    const asked: string[] = [];
    const no = await sowtrace(['cases', '--remove', listing.id], { environment, ask: async (question) => { asked.push(question); return ''; } });
    expect(no.err).toBe('Nothing was removed.\n');
    expect(asked[0]).toContain(listing.name);
    const yes = await sowtrace(['cases', '--remove', listing.id], { environment, ask: async () => 'y' });
    expect(yes.out).toContain(`Undo: sowtrace cases --restore ${listing.id} (for 90 days)`);
    expect((await cases()).cases).toEqual([]);
    expect((await cases('--removed')).cases).toEqual([listing]);
    expect((await sowtrace(['cases', '--restore', listing.id.slice(0, 8)], { environment })).status).toBe(0);
    expect((await cases()).cases).toEqual([listing]);
  });

  test('a damaged day is named, and the exit status says so', async () => {
    const [name = '', bytes = Buffer.alloc(0)] = [...(await filesUnder(root))].find(([file]) => file.endsWith('/case.json')) ?? [];
    await writeFile(path.join(root, name), `${bytes.toString('utf8')} `);
    const { status, err } = await sowtrace(['cases'], { environment });
    expect(status).toBe(1);
    expect(err).toContain('case.json is not what was written');
    await writeFile(path.join(root, name), bytes);
  });

  test.each([
    ['an id that fits none', ['cases', '--remove', 'c0000000', '--yes'], 'no kept day "c0000000"'],
    ['a stray log', ['cases', 'day.log'], 'takes no "day.log"'],
    ['a store without --save', ['check', 'day.log', '--store', 'x'], 'Add --save'],
    ['JSON of each day', ['check', '--each', '.', '--format', 'json'], 'takes no --format'],
    ['a folder that is none', ['check', '--each', '/no/such/folder'], 'there is no such file'],
    ['a store that is a file', ['check', ...clean, '--save', '--store', import.meta.filename, '--quiet'], 'a file lies where a folder should be'],
  ])('%s: exit 2 and one sentence', async (_, words, sentence) => {
    const { status, err } = await sowtrace(words, { environment });
    expect(status).toBe(2);
    expect(err).toContain(sentence);
    expect(err.trim().split('\n').length).toBe(1);
  });
});
