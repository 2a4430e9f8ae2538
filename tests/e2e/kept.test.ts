import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { RunningServer, ServerOptions } from '../../server/main.ts';
import { launchBrowser } from './browser.ts';

const ROOT = path.resolve(import.meta.dirname, '../..');
let folder = '';
let server: RunningServer;
let browser: Browser;
let page: Page;

beforeAll(async () => {
  folder = await mkdtemp(path.join(tmpdir(), 'sowtrace-kept-'));
  const { startServer } = (await import(path.join(ROOT, 'dist/server/main.js'))) as { startServer: (options: ServerOptions) => Promise<RunningServer> };
  server = await startServer({ port: 0, sample: true, logs: [], files: {}, units: 'metric', store: path.join(folder, 'cases') });
  browser = await launchBrowser();
  page = await browser.newPage();
});
afterAll(async () => {
  await browser.close();
  await server.stop();
  await rm(folder, { recursive: true, force: true });
});

test('a day is kept, opened from the start page, removed after a question and had back', async () => {
  await page.goto(server.address);
  await page.locator('.verdict').waitFor();
  const verdict = await page.locator('.verdict').innerText();
  await page.getByText('Kept while Sowtrace runs; for good once the day is kept.').waitFor();
  await page.getByRole('button', { name: 'Keep this day' }).click();
  await page.getByText('This day is kept. The start page lists it.').waitFor();
  await page.getByRole('button', { name: 'Keep it anew' }).waitFor();
  expect(await page.locator('.mark-form').innerText()).toContain('Kept with the day.');

  await page.getByRole('button', { name: 'Another day' }).click();
  const kept = page.locator('.kept > li');
  await kept.filter({ hasText: 'day.log.gz' }).waitFor();
  await kept.getByRole('button', { name: /day\.log\.gz/ }).click();
  await page.locator('.verdict').waitFor();
  expect(await page.locator('.verdict').innerText()).toBe(verdict);

  await page.getByRole('button', { name: 'Another day' }).click();
  await kept.getByRole('button', { name: /^Remove/ }).click();
  await page.getByRole('button', { name: 'No, keep it' }).click();
  expect(await kept.count()).toBe(1);
  await kept.getByRole('button', { name: /^Remove/ }).click();
  await page.getByRole('button', { name: 'Yes, remove it' }).click();
  await page.getByText('was removed.').waitFor();
  expect(await page.getByRole('status').filter({ hasText: 'was removed.' }).innerText()).toMatch(/for 90 days: sowtrace cases --restore c[0-9a-f]{15}$/);
  expect(await kept.count()).toBe(0);
  await page.getByRole('button', { name: 'Undo' }).click();
  await kept.first().waitFor();
});
