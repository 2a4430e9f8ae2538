import { mkdir, mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { gunzipSync } from 'node:zlib';
import { zipSync } from 'fflate';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { CLEAN, SAMPLE, dropOn, stageViewer, type ViewerStage } from './viewer-page.ts';

let stage: ViewerStage;
let page: Page;
let folder = '';
/** The first rows of the clean morning, as lines. */
let rows: readonly string[] = [];

beforeAll(async () => {
  stage = await stageViewer({ sample: false });
  page = await stage.newPage();
  folder = await mkdtemp(path.join(tmpdir(), 'sowtrace-e2e-'));
  rows = gunzipSync(await readFile(path.join(CLEAN, 'day.csv.gz'))).toString().split('\n').slice(0, 1500);
});
afterAll(async () => {
  await stage.close();
  await rm(folder, { recursive: true, force: true });
});

const make = async (name: string, content: string | Uint8Array): Promise<string> => {
  const file = path.join(folder, name);
  await mkdir(path.dirname(file), { recursive: true });
  await writeFile(file, content);
  return file;
};
const start = (): Promise<unknown> => page.goto('about:blank').then(() => page.goto(stage.base));
const fileRow = (name: string | RegExp) => page.locator('.file-list > li').filter({ hasText: name });
const readDay = async (): Promise<void> => {
  await page.getByRole('button', { name: /^Read (the day|these)/ }).click();
  await page.locator('.verdict').waitFor();
};

describe('files come in', () => {
  test('dropped anywhere: the shipped sample with its setup and signals', async () => {
    await start();
    await dropOn(page, ['day.log.gz', 'setup.json', 'signals.json'].map((name) => path.join(SAMPLE, name)));
    await fileRow('day.log.gz').filter({ hasText: /candump/i }).waitFor();
    await fileRow('setup.json').filter({ hasText: 'the machine and the job' }).waitFor();
    await fileRow('signals.json').filter({ hasText: 'CAN signals' }).waitFor();
    await readDay();
    expect(await page.locator('.verdict').innerText()).toMatch(/run 47/i);
    expect(await page.title()).toBe('What to fix · 8 May 2031 · Sowtrace');
  });

  test('by the file chooser; the wrong kind is refused with what is accepted', async () => {
    await start();
    const picture = await make('holiday.txt', 'wish you were here\n');
    const sheet = await make('book.xlsx', zipSync({ '[Content_Types].xml': new Uint8Array([1]), 'xl/workbook.xml': new Uint8Array([1]) }));
    const empty = await make('empty.log', '');
    const [chooser] = await Promise.all([page.waitForEvent('filechooser'), page.getByRole('button', { name: 'Browse for files…' }).click()]);
    await chooser.setFiles([picture, sheet, empty, path.join(SAMPLE, 'day.log.gz')]);
    expect(await fileRow('holiday.txt').filter({ hasText: 'It stays out' }).innerText()).toMatch(/no known log format\. Known are .*CSV/);
    expect(await fileRow('book.xlsx').filter({ hasText: 'It stays out' }).innerText()).toMatch(/spreadsheet/);
    expect(await fileRow('empty.log').filter({ hasText: 'It stays out' }).innerText()).toMatch(/is empty/);
    await fileRow('day.log.gz').filter({ hasText: /candump/i }).waitFor();
    await page.getByText('3 files will not be used').waitFor();
    expect(await page.getByRole('button', { name: 'Read the day' }).isEnabled()).toBe(true);
    await page.getByRole('button', { name: 'Remove holiday.txt' }).click();
    await page.getByText('2 files will not be used').waitFor();
  });

  test('as a zip, unpacked without the help of another program', async () => {
    await start();
    const files = Object.fromEntries(await Promise.all(['setup.json', 'signals.json'].map(async (name) => [`farm/${name}`, new Uint8Array(await readFile(path.join(SAMPLE, name)))] as const)));
    const log = gunzipSync(await readFile(path.join(SAMPLE, 'day.log.gz')));
    const archive = await make('from-the-card.zip', zipSync({ ...files, 'farm/day.log': new Uint8Array(log), 'farm/note.txt': new Uint8Array([104, 105]) }));
    await dropOn(page, [archive]);
    await fileRow('farm/day.log').filter({ hasText: /candump/i }).waitFor();
    await fileRow('farm/note.txt').filter({ hasText: 'It stays out' }).waitFor();
    await readDay();
    expect(await page.locator('.finding-list').innerText()).toMatch(/run 47/i);
    await page.getByRole('button', { name: 'Logs' }).click();
    /* The bytes are those that were packed: the same hash as of the log beside the archive. */
    const { createHash } = await import('node:crypto');
    expect(await page.locator('.log code').innerText()).toBe(createHash('sha256').update(log).digest('hex'));
  });

  test('as a folder', async () => {
    await start();
    await make('card/sub/morning.csv', rows.join('\n'));
    await make('card/setup.json', '{"machine":{"name":"x"}}');
    await dropOn(page, [path.join(folder, 'card')]);
    await fileRow('card/sub/morning.csv').filter({ hasText: /CSV/ }).waitFor();
    await fileRow('card/setup.json').waitFor();
    expect(await page.locator('.file-list > li').count()).toBe(2);
  });

  test('task data in a zip: its parts go with it', async () => {
    await start();
    const { taskSample } = await import('../formats/taskdata/task-sample.ts');
    await dropOn(page, [await make('task.zip', zipSync({ 'TASKDATA/TASKDATA.XML': taskSample.bytes, ...Object.fromEntries(Object.entries(taskSample.beside ?? {}).map(([name, bytes]) => [`TASKDATA/${name}`, bytes])) }))]);
    await fileRow('TASKDATA/TASKDATA.XML').filter({ hasText: /ISO 11783-10/ }).waitFor();
    await expect.poll(() => fileRow(/TLG0000/).filter({ hasText: 'part of task data' }).count()).toBe(4);
    await readDay();
    expect(await page.locator('.which').innerText()).toContain('6 May 2026');
  });

  test('pasted, as text', async () => {
    await start();
    await page.evaluate("(() => { const data = new DataTransfer(); data.setData('text/plain', 'time,fan.1.speed\\n2031-05-04T09:20:00Z,3600\\n2031-05-04T09:20:01Z,3601\\n'); document.body.dispatchEvent(new ClipboardEvent('paste', { clipboardData: data, bubbles: true })); })()");
    await fileRow('pasted.txt').filter({ hasText: /CSV/ }).waitFor();
    expect(await page.getByRole('button', { name: 'Read the day' }).isEnabled()).toBe(true);
  });

  test('more logs join the day that is open', async () => {
    await start();
    await dropOn(page, [await make('first.csv', [rows[0], ...rows.slice(1, 700)].join('\n'))]);
    await fileRow('first.csv').filter({ hasText: /CSV/ }).waitFor();
    await readDay();
    await dropOn(page, [await make('second.csv', [rows[0], ...rows.slice(700)].join('\n'))]);
    await page.getByRole('button', { name: 'Add to this day and read it again' }).click();
    await page.locator('.which').filter({ hasText: 'first.csv + second.csv' }).waitFor();
    await page.getByRole('button', { name: 'Logs' }).click();
    expect(await page.locator('.sheet.log').count()).toBe(2);
  });

  test('without a setup: what cannot be told is said, not shown as nothing, and the way to the setup is there', async () => {
    await start();
    await dropOn(page, [await make('bare.csv', ['time,wheel.speed [m/s],fan.1.speed [rpm]', ...Array.from({ length: 60 }, (_, second) => `2031-05-04T09:20:${String(second).padStart(2, '0')}Z,2.2,3600`)].join('\n'))]);
    await fileRow('bare.csv').filter({ hasText: /CSV/ }).waitFor();
    await readDay();
    expect(await page.locator('.day-facts').innerText()).toMatch(/No ground measured \(it takes work, GNSS and the working width\), \d/);
    await page.getByRole('button', { name: 'The rates' }).click();
    await page.getByRole('heading', { name: 'No product is known' }).waitFor();
    await page.getByRole('button', { name: 'Enter the machine and the job' }).click();
    await page.getByRole('heading', { name: 'Products' }).waitFor();
  });
});

describe('headings that are not understood', () => {
  test('are mapped in place, previewed, and read again; columns.json can be saved', async () => {
    await start();
    const renamed = [(rows[0] ?? '').replace('fan.1.speed [rpm]', 'Blower 1 rpm').replace('wheel.speed [m/s]', 'Pace of cart'), ...rows.slice(1)].join('\n');
    await dropOn(page, [await make('own-words.csv', renamed)]);
    await fileRow('own-words.csv').filter({ hasText: /CSV/ }).waitFor();
    await readDay();
    await page.getByRole('button', { name: /^Logs.*2 headings not understood/ }).click();
    const mapping = page.locator('.mapping');
    const fan = mapping.locator('li').filter({ hasText: 'Blower 1 rpm' });
    await fan.locator('.heading-name').filter({ hasText: /36\d\d/ }).waitFor();
    await fan.getByRole('button', { name: 'fan.1.speed' }).click();
    expect(await fan.locator('.preview').innerText()).toMatch(/fan\.1\.speed: 3\d{3} rpm to 3\d{3} rpm/);

    const pace = mapping.locator('li').filter({ hasText: 'Pace of cart' });
    await pace.getByLabel('Channel of Pace of cart').fill('wheel.sped');
    expect(await pace.locator('.field-problem').innerText()).toMatch(/there is no channel wheel\.sped/);
    expect(await mapping.getByRole('button', { name: /Read the logs again/ }).isDisabled()).toBe(true);
    await pace.getByLabel('Channel of Pace of cart').fill('wheel.speed');
    await pace.getByLabel('Unit of Pace of cart').selectOption('km/h');
    expect(await pace.locator('.preview').innerText()).toMatch(/km\/h/);
    await pace.getByLabel('Unit of Pace of cart').selectOption('m/s');

    const [saved] = await Promise.all([page.waitForEvent('download'), mapping.getByRole('button', { name: 'Save columns.json' }).click()]);
    expect(saved.suggestedFilename()).toBe('columns.json');
    expect(JSON.parse(await readFile(await saved.path(), 'utf8'))).toEqual({ columns: { 'Blower 1 rpm': { channel: 'fan.1.speed', unit: 'rpm' }, 'Pace of cart': { channel: 'wheel.speed', unit: 'm/s' } } });

    await mapping.getByRole('button', { name: /Read the logs again/ }).click();
    await page.locator('.sheet.log').waitFor();
    await page.locator('.mapping').waitFor({ state: 'detached' });
    const state = (await (await fetch(`${stage.base}api/days/${new URLSearchParams(new URL(page.url()).hash.slice(1)).get('day')}`)).json()) as { view: { channels: { id: string }[] } };
    expect(state.view.channels.map(({ id }) => id)).toEqual(expect.arrayContaining(['fan.1.speed', 'wheel.speed']));
  });

  test('a log whose time column has another name is told what it lacks before it is read', async () => {
    await start();
    await dropOn(page, [await make('no-time.csv', rows.join('\n').replace(/^time,/, 'Stamp of record,'))]);
    const row = fileRow('no-time.csv');
    await row.getByText('No column of it is known to be the time').waitFor();
    await row.getByLabel('Channel of Stamp of record').fill('time');
    await row.getByRole('button', { name: 'Use these meanings' }).click();
    /* The row that begins so: the log's own row may name it as well. */
    await fileRow(/^\s*columns\.json/).waitFor();
    await readDay();
    expect(await page.locator('.which').innerText()).toContain('4 May 2031');
  });
});

describe('ways out', () => {
  test('cancel while a file is handed over: it is gone within a second', async () => {
    await start();
    const large = await make('large.log', Buffer.alloc(20_000_000, '(1700000000.000000) can0 0CF00400#FFFFFFFFFFFFFFFF\n'));
    const session = await page.context().newCDPSession(page);
    await session.send('Network.enable');
    await session.send('Network.emulateNetworkConditions', { offline: false, latency: 0, downloadThroughput: -1, uploadThroughput: 1_000_000 });
    await dropOn(page, [large]);
    const cancel = page.getByRole('button', { name: 'Cancel large.log' });
    await cancel.waitFor();
    await page.locator('.progress').filter({ hasText: /of 20\.0 MB, .*\/s, \d+ s left/ }).waitFor({ timeout: 15_000 });
    const pressed = Date.now();
    await cancel.click();
    await fileRow('large.log').waitFor({ state: 'detached' });
    expect(Date.now() - pressed).toBeLessThan(1000);
    await session.send('Network.emulateNetworkConditions', { offline: false, latency: 0, downloadThroughput: -1, uploadThroughput: -1 });
  });

  test('cancel while the day is read: back at the start within a second, the day is closed', async () => {
    await start();
    await page.getByRole('button', { name: 'Look at the sample day' }).click();
    await page.getByRole('button', { name: 'Cancel' }).waitFor();
    const pressed = Date.now();
    await page.getByRole('button', { name: 'Cancel' }).click();
    await page.getByRole('heading', { name: 'Which day?' }).waitFor();
    expect(Date.now() - pressed).toBeLessThan(1000);
    await page.getByText('Cancelled. Nothing of the day was kept.').waitFor();
    await expect.poll(async () => ((await (await fetch(`${stage.base}api/days`)).json()) as { name: string; status: string }[]).filter(({ name, status }) => name === 'day.log.gz' && status !== 'ready')).toEqual([]);
  });

  test('a day in the address that is not open says so, and how to go on', async () => {
    await page.goto('about:blank');
    await page.goto(`${stage.base}#day=gone&reading=fix`);
    await page.getByRole('heading', { name: 'This day is not here' }).waitFor();
    expect(await page.getByRole('alert').innerText()).toMatch(/no longer open.*Add its logs again/s);
    await page.getByRole('button', { name: 'Choose the logs again' }).click();
    await page.getByRole('heading', { name: 'Which day?' }).waitFor();
  });

  test('days still open are a click away', async () => {
    await start();
    const recent = page.locator('.recent button').first();
    expect(await recent.innerText()).toMatch(/4 May 2031, 09:20 to/);
    await recent.click();
    await page.locator('.verdict').waitFor();
  });
});

test('nothing went outside, nothing broke the content policy, no script failed', () => {
  expect(stage.outside).toEqual([]);
  expect(stage.complaints).toEqual([]);
});
