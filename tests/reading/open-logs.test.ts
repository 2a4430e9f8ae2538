import { mkdirSync, mkdtempSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { gzipSync } from 'node:zlib';
import { zipSync, type Zippable } from 'fflate';
import { afterAll, describe, expect, test } from 'vitest';
import { readLogs } from '../../src/read-logs.ts';
import { taskSample } from '../formats/taskdata/task-sample.ts';

const root = mkdtempSync(path.join(tmpdir(), 'sowtrace-logs-'));
afterAll(() => rmSync(root, { recursive: true }));

const lines = (from: number): Uint8Array => Buffer.from(Array.from({ length: 100 }, (_, i) => `(${(1_746_532_800 + from + i / 10).toFixed(6)}) can0 0CFE4822#D007FFFFFFFFFFFF\n`).join(''));
const files: Readonly<Record<string, Uint8Array>> = { 'b.log': lines(10), 'a.log': lines(0), 'more/c.log.gz': gzipSync(lines(20)), 'notes.txt': Buffer.from('a shopping list\n'), 'setup.json': Buffer.from('{}') };
const parts = { 'TASKDATA.XML': taskSample.bytes, ...taskSample.beside };

const folderOf = (name: string, entries: Readonly<Record<string, Uint8Array>>): string => {
  const folder = path.join(root, name);
  for (const [file, bytes] of Object.entries(entries)) {
    mkdirSync(path.dirname(path.join(folder, file)), { recursive: true });
    writeFileSync(path.join(folder, file), bytes);
  }
  return folder;
};
const zipOf = (name: string, entries: Zippable): string => {
  const file = path.join(root, name);
  writeFileSync(file, zipSync(entries));
  return file;
};

describe('a folder or a zip archive stands for the logs in it', () => {
  test.each([['folder', () => folderOf('day', files)], ['zip', () => zipOf('day.zip', files)]])('%s: read in the order of names, other things named and left out', async (_, place) => {
    const day = await readLogs([place()]);
    expect(day.logs.map(({ file, records }) => [file, records])).toEqual([['a.log', 100], ['b.log', 100], ['c.log.gz', 100]]);
    const notes = day.logs.flatMap((log) => log.notes).join('\n');
    expect(notes).toContain('setup.json lies with the logs but is used only when it is given with --setup.');
    expect(notes).toContain('Lay with the logs and was left out: notes.txt is in no known log format.');
    expect(day.channels.find(({ id }) => id === 'wheel.speed')?.time.length).toBe(300);
  });

  test.each([
    ['folder', () => folderOf('task', parts)], ['zip', () => zipOf('task.zip', parts)], ['zip with a folder', () => zipOf('inner.zip', { TASKDATA: parts })],
    ['the XML file', () => path.join(folderOf('task2', parts), 'TASKDATA.XML')],
  ])('task data as %s: one log, every byte of every file accounted for', async (_, place) => {
    const day = await readLogs([place()]);
    expect(day.logs).toHaveLength(1);
    expect(day.logs[0]).toMatchObject({ format: 'taskdata', records: 7 });
    expect(day.logs[0]?.bytes.total).toBe(Object.values(parts).reduce((sum, { length }) => sum + length, 0));
    const channel = (id: string): readonly number[] => [...(day.channels.find((candidate) => candidate.id === id)?.value ?? [])];
    expect(channel('wheel.speed')).toEqual([2.5, 2.5, 2.6, 2.6, 2.6, 3, 3].map((value) => expect.closeTo(value, 6)));
    expect(channel('gnss.speed')[0]).toBeCloseTo(2.5, 6);
    expect(channel('tank.1.mass')).toEqual([2400, 2399]);
    expect(channel('meter.1.rate')).toEqual([0.0112, 0.0113].map((value) => expect.closeTo(value, 9)));
    /* -4096 = 0xFFFFF000: six sections, all off; -2731 = 0xFFFFF555: all on (messages.md 6.1). */
    expect([1, 6].map((n) => channel(`section.${n}.on`))).toEqual([[0, 1], [0, 1]]);
    expect(channel('section.7.on')).toEqual([]);
    expect(day.channels.find(({ id }) => id === 'tank.1.mass')?.source).toMatchObject({ column: 'Cart & drill, Front tank, Content', ddi: 75, element: 7, name: 'a00880000ae00002' });
  });

  test('the parts of task data given one by one belong together', async () => {
    const folder = folderOf('apart', parts);
    const day = await readLogs(Object.keys(parts).map((name) => path.join(folder, name)));
    expect(day.logs.map(({ file, records }) => [file, records])).toEqual([['TASKDATA.XML', 7]]);
  });

  test('a zip in a zip is named and left out; links and hidden files are not followed', async () => {
    const day = await readLogs([zipOf('nested.zip', { 'a.log': lines(0), 'inner.zip': zipSync({ 'b.log': lines(10) }) })]);
    expect(day.logs[0]?.notes.join(' ')).toContain('inner.zip is a zip archive');
    const folder = folderOf('links', { 'a.log': lines(0), '.hidden.log': lines(10) });
    symlinkSync('/etc/passwd', path.join(folder, 'link.log'));
    const linked = await readLogs([folder]);
    expect(linked.logs).toHaveLength(1);
    expect(linked.logs[0]?.notes.join(' ')).toContain('link.log is a link and was left out.');
  });

  test('a damaged entry is read up to the damage', async () => {
    const bytes = zipSync({ 'a.log': lines(0) });
    const at = 30 + 'a.log'.length + 200;
    bytes[at] = (bytes[at] as number) ^ 0x55;
    const file = path.join(root, 'bad.zip');
    writeFileSync(file, bytes);
    const outcome = await readLogs([file]).then((day) => day.logs[0]?.notes.join(' '), (error: Error) => error.message);
    expect(outcome).toMatch(/archive is damaged here|not one record is usable|no known log format/);
  });
});

describe('folders and archives that are refused, in one sentence', () => {
  test('a folder without logs, one with too many files, an archive of nothing', async () => {
    await expect(readLogs([folderOf('empty', { 'setup.json': Buffer.from('{}') })])).rejects.toThrow(/holds no log/);
    await expect(readLogs([folderOf('notes', { 'a.txt': Buffer.from('x\n'), 'b.txt': Buffer.from('y\n') })])).rejects.toThrow(/None of the 2 files found is a log/);
    const many = Object.fromEntries(Array.from({ length: 1001 }, (_, i) => [`${i}.log`, Buffer.from('x')]));
    await expect(readLogs([folderOf('many', many)])).rejects.toThrow(/more than 1000 files/);
    await expect(readLogs([zipOf('many.zip', many)])).rejects.toThrow(/holds 1001 files, at most 1000/);
  });

  test('names that lead out of the archive', async () => {
    await expect(readLogs([zipOf('evil.zip', { '../../evil.log': lines(0) })])).rejects.toThrow(/leads out of the archive/);
    await expect(readLogs([zipOf('root.zip', { '/etc/evil.log': lines(0) })])).rejects.toThrow(/leads out of the archive/);
  });

  test('a bomb is stopped, a workbook is named, a cut archive is damaged', async () => {
    await expect(readLogs([zipOf('bomb.zip', { 'a.log': Buffer.alloc(68 * 1024 * 1024, '(1.0) can0 123#00\n') })])).rejects.toThrow(/compressed bytes unpack to more than/);
    await expect(readLogs([zipOf('book.xlsx', { '[Content_Types].xml': Buffer.from('<x/>') })])).rejects.toThrow(/spreadsheet workbook/);
    const file = path.join(root, 'cut.zip');
    writeFileSync(file, zipSync({ 'a.log': lines(0) }).subarray(0, 200));
    await expect(readLogs([file])).rejects.toThrow(/cut\.zip is a damaged zip archive/);
  });
});
