import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { sowtrace } from './terminal.ts';

const SAMPLE = path.resolve(import.meta.dirname, '../../sample-logs/mud-in-opener');
const sample = [path.join(SAMPLE, 'day.log.gz'), '--setup', path.join(SAMPLE, 'setup.json'), '--signals', path.join(SAMPLE, 'signals.json')];

let folder = '';
beforeAll(async () => { folder = await mkdtemp(path.join(tmpdir(), 'sowtrace-report-')); });
afterAll(async () => rm(folder, { recursive: true, force: true }));

describe('report', () => {
  test('the complaint file is written where told, with the technician\'s own words', async () => {
    const notes = path.join(folder, 'notes.txt');
    const out = path.join(folder, 'complaint.html');
    await writeFile(notes, '\uFEFFHose 47 was full of mud.\r\n<b>Photo taken.</b>');
    expect(await sowtrace(['report', ...sample, '--paper', 'complaint', '--notes', notes, '--out', out])).toEqual({ status: 0, out: '', err: '' });
    const paper = await readFile(out, 'utf8');
    expect(paper.startsWith('<!DOCTYPE html>')).toBe(true);
    expect(paper).toMatch(/run 47/i);
    expect(paper).toContain('Hose 47 was full of mud.\n&lt;b&gt;Photo taken.&lt;/b&gt;');
  });

  test('without --out it goes to stdout; zone and units are the reader\'s', async () => {
    const { status, out, err } = await sowtrace(['report', ...sample, '--paper', 'tomorrow', '--hectares', '40.5', '--units', 'us', '--zone', 'America/Regina']);
    expect({ status, err }).toEqual({ status: 0, err: '' });
    expect(out).toContain('America/Regina');
    expect(out).toMatch(/What to load for <data value="40.5">100.1<\/data> ac/);
  });

  test.each([
    [[], 'Which paper?'],
    [['--paper', 'letter'], '--paper cannot be "letter"'],
    [['--paper', 'tomorrow', '--hectares=-3'], '--hectares "-3" is not an area'],
    [['--paper', 'tomorrow', '--hectares', '1e9'], '--hectares "1e9" is not an area'],
    [['--paper', 'tomorrow', '--hectares', '0'], '--hectares "0" is not an area'],
    [['--paper', 'rates', '--hectares', '3'], '--hectares belongs to the list for tomorrow'],
    [['--paper', 'tomorrow', '--notes', 'x'], '--notes belongs to the complaint file'],
    [['--paper', 'complaint', '--notes', '/nowhere/notes.txt'], 'there is no such file'],
  ])('%s: one sentence, exit 2', async (words, sentence) => {
    const { status, out, err } = await sowtrace(['report', 'never-read.log', ...words]);
    expect({ status, out }).toEqual({ status: 2, out: '' });
    expect(err).toContain(sentence);
    expect(err.trim().split('\n')).toHaveLength(1);
  });
});
