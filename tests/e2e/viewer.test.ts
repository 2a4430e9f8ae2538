import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { SIDEWAYS, axeFaults, stageViewer, type ViewerStage } from './viewer-page.ts';

/* The viewer as a whole: what it opens with, units, tabs, and the readings that have tests of their own under axe. */

let stage: ViewerStage;
let page: Page;

beforeAll(async () => {
  stage = await stageViewer({ sample: true });
  page = await stage.newPage();
  await page.goto(stage.server.address);
  await page.locator('.evidence').first().waitFor();
});
afterAll(() => stage.close());

describe('the sample day', () => {
  test('opens with its verdict and the blocked run first', async () => {
    expect(await page.locator('.verdict').innerText()).toMatch(/put right.*run 47/i);
    expect(await page.locator('.finding-list button').first().innerText()).toMatch(/run 47/i);
  });

  test('units change in one place, and the address keeps them', async () => {
    await page.getByLabel('Units').selectOption('us');
    await expect.poll(() => page.locator('main').innerText()).toMatch(/ ac\b.*lb\/ac/s);
    expect(page.url()).toContain('units=us');
    await page.getByLabel('Units').selectOption('metric');
    await expect.poll(() => page.locator('main').innerText()).not.toMatch(/lb\/ac/);
  });

  test('two tabs look at two readings of one day', async () => {
    const other = await stage.newPage();
    await other.goto(page.url().replace('reading=fix', 'reading=rates'));
    await other.locator('.readings [aria-current=page]').filter({ hasText: 'The rates' }).waitFor();
    expect(await page.locator('.readings [aria-current=page]').innerText()).toBe('What to fix');
    await other.context().close();
  });

  test('a second browser reads another day at the same time', async () => {
    const other = await stage.newPage();
    await other.goto(stage.base);
    await other.getByRole('button', { name: 'Look at the sample day' }).click();
    await other.locator('.verdict').waitFor();
    const day = (url: string): string | null => new URLSearchParams(new URL(url).hash.slice(1)).get('day');
    expect(day(other.url())).not.toBe(day(page.url()));
    expect(await page.locator('.verdict').innerText()).toBe(await other.locator('.verdict').innerText());
    await other.context().close();
  });

  test.each(['light', 'dark'] as const)('nothing for axe to find in %s, on the day and the rates', async (colorScheme) => {
    await page.emulateMedia({ colorScheme });
    for (const reading of ['The day', 'The rates']) {
      await page.locator('.readings').getByRole('button', { name: reading, exact: true }).click();
      await page.locator('.readings [aria-current=page]').filter({ hasText: reading }).waitFor();
      await page.locator('main canvas, main table').first().waitFor();
      expect(await axeFaults(page), reading).toEqual([]);
    }
    await page.getByRole('button', { name: 'What to fix' }).click();
  });

  test('every reading fits 320 px without sideways scrolling', async () => {
    await page.setViewportSize({ width: 320, height: 700 });
    for (const reading of ['What to fix', 'The day', 'The rates', 'Setup', 'Logs']) {
      await page.locator('.readings').getByRole('button', { name: reading, exact: true }).click();
      await page.locator('.readings [aria-current=page]').filter({ hasText: reading }).waitFor();
      await expect.poll(() => page.evaluate(SIDEWAYS), { message: reading }).toBe(0);
    }
  });
});

test('no outside request, no policy violation, no error in the console', () => {
  expect(stage.outside).toEqual([]);
  expect(stage.complaints).toEqual([]);
});
