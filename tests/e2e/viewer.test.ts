import path from 'node:path';
import axe from 'axe-core';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { RunningServer } from '../../server/main.ts';
import { launchBrowser } from './browser.ts';

/* The viewer as built, served as built, in a real browser. */

const ROOT = path.resolve(import.meta.dirname, '../..');
const { startServer } = (await import(path.join(ROOT, 'dist/server/main.js'))) as { startServer: (options: object) => Promise<RunningServer> };

let server: RunningServer;
let browser: Browser;
let page: Page;
const outside: string[] = [];
const complaints: string[] = [];

beforeAll(async () => {
  server = await startServer({ port: 0, sample: true, logs: [], files: {}, units: 'metric' });
  browser = await launchBrowser();
  const context = await browser.newContext({ viewport: { width: 1366, height: 900 } });
  page = await context.newPage();
  page.on('request', (request) => { if (!request.url().startsWith('http://127.0.0.1:') && !request.url().startsWith('data:')) outside.push(request.url()); });
  page.on('console', (message) => { if (message.type() !== 'info' && message.type() !== 'log') complaints.push(message.text()); });
  page.on('pageerror', (error) => complaints.push(error.message));
});
afterAll(async () => {
  await browser.close();
  await server.stop();
});

async function accessibilityFaults(): Promise<readonly string[]> {
  await page.evaluate(axe.source);
  const result = await page.evaluate(async () => (globalThis as unknown as { axe: typeof axe }).axe.run({ runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'] }));
  return result.violations.flatMap((violation) => violation.nodes.map((node) => `${violation.id}: ${node.html.slice(0, 120)}`));
}

describe('the sample day', () => {
  test('opens with its verdict and the blocked run first', async () => {
    await page.goto(server.address);
    await page.getByText('run 47', { exact: false }).first().waitFor();
    expect(await page.locator('.verdict').innerText()).toMatch(/put right.*run 47/i);
    const first = page.locator('.finding-list button').first();
    expect(await first.innerText()).toMatch(/run 47/i);
  });

  test('shows evidence, why, the deciding check and cautions', async () => {
    const sheet = page.locator('article.sheet');
    await sheet.locator('.evidence').first().waitFor();
    expect(await sheet.locator('canvas').count()).toBeGreaterThan(0);
    const text = await sheet.innerText();
    for (const part of ['Why', 'Settle it by', 'Before you go to the machine']) expect(text).toContain(part);
    expect(text).not.toMatch(/undefined|NaN|‹|›|\{\w+\}/);
  });

  test('every plot has a name, can be reached by keyboard, reads out its values and has its numbers behind it', async () => {
    const plots = page.locator('figure.plot');
    expect(await plots.count()).toBeGreaterThan(0);
    for (const plot of await plots.all()) {
      expect(await plot.getAttribute('aria-label')).toMatch(/\w{3}/);
      expect(await plot.getAttribute('tabindex')).toBe('0');
    }
    await plots.first().focus();
    await page.keyboard.press('ArrowRight');
    await page.keyboard.press('Shift+ArrowRight');
    expect(await plots.first().locator('[aria-live]').innerText()).toMatch(/\d\d:\d\d:\d\d: .+/);
    expect(await page.getByText(/The numbers/).count()).toBeGreaterThanOrEqual(await plots.count());
  });

  test('channels: zoom by dragging, undo, whole day, and the address reproduces the view', async () => {
    await page.getByRole('button', { name: 'See the channels' }).click();
    const over = page.locator('.u-over').first();
    await over.waitFor();
    const before = page.url();
    const box = await over.boundingBox();
    if (box === null) throw new Error('the plot has no place');
    await page.mouse.move(box.x + box.width * 0.4, box.y + 40);
    await page.mouse.down();
    await page.mouse.move(box.x + box.width * 0.6, box.y + 40, { steps: 5 });
    await page.mouse.up();
    await expect.poll(() => page.url()).not.toBe(before);
    const zoomed = page.url();
    const again = await page.context().newPage();
    await again.goto(zoomed);
    await again.locator('.u-over').first().waitFor();
    expect(await again.locator('.lane-head strong').allInnerTexts()).toEqual(await page.locator('.lane-head strong').allInnerTexts());
    await again.close();
    await page.goBack();
    await expect.poll(() => page.url()).toBe(before);
  });

  test('units change in one place', async () => {
    await page.getByRole('button', { name: 'What to fix' }).click();
    await page.getByLabel('Units').selectOption('us');
    await expect.poll(() => page.locator('main').innerText()).toMatch(/ ac\b/);
    await page.getByLabel('Units').selectOption('metric');
  });

  test.each(['light', 'dark'] as const)('nothing for axe to find in %s', async (colorScheme) => {
    await page.emulateMedia({ colorScheme });
    expect(await accessibilityFaults()).toEqual([]);
    await page.getByRole('button', { name: 'The day' }).click();
    await page.locator('.u-over').first().waitFor();
    expect(await accessibilityFaults()).toEqual([]);
    await page.getByRole('button', { name: 'What to fix' }).click();
  });

  test('fits 320 px without sideways scrolling', async () => {
    await page.setViewportSize({ width: 320, height: 700 });
    expect(await page.evaluate<number>('document.documentElement.scrollWidth')).toBeLessThanOrEqual(320);
    await page.setViewportSize({ width: 1366, height: 900 });
  });
});

test('no outside request, no policy violation, no error in the console', () => {
  expect(outside).toEqual([]);
  expect(complaints).toEqual([]);
});
