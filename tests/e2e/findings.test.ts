import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { stageViewer, type ViewerStage } from './viewer-page.ts';

let stage: ViewerStage;
let page: Page;
const sheet = () => page.locator('article.finding');
const list = () => page.locator('.finding-list button');

beforeAll(async () => {
  stage = await stageViewer({ sample: true });
  page = await stage.newPage();
  await page.goto(stage.server.address);
  await page.locator('.evidence').first().waitFor();
});
afterAll(() => stage.close());

describe('what to fix', () => {
  test('each finding opens its evidence first, then cost, why, check, cautions', async () => {
    const count = await list().count();
    expect(count).toBeGreaterThanOrEqual(2);
    for (let n = 0; n < count; n++) {
      await list().nth(n).click();
      await page.locator('.finding-list button[aria-current=true]').nth(0).waitFor();
      await expect.poll(() => sheet().locator('.evidence').count()).toBeGreaterThan(0);
      const text = await sheet().innerText();
      for (const part of ['Why', 'Settle it by', 'Measured', 'What it is not', 'Before you go to the machine']) expect(text).toContain(part);
      expect(text).not.toMatch(/undefined|NaN|‹\w+\||\{\w+\}|\b\d*[23]th\b|\brun\.\d/);
      const [evidence, words] = await Promise.all(['.lead-evidence .evidence', '.finding-words'].map((part) => sheet().locator(part).first().boundingBox()));
      expect(evidence?.y ?? Infinity).toBeLessThanOrEqual((words?.y ?? 0) + 1);
      for (const picture of await sheet().locator('canvas[role=img], figure.plot').all()) {
        expect(await picture.getAttribute('aria-label')).toMatch(/\w{3}.*\w{3}/);
        expect(await picture.getAttribute('tabindex')).toBe('0');
      }
      /* Behind every picture stands its table. */
      const pictures = await sheet().locator('.evidence').filter({ has: page.locator('canvas') }).all();
      for (const picture of pictures) {
        await picture.locator('summary').click();
        await expect.poll(() => picture.locator('tbody tr').count()).toBeGreaterThan(0);
        await picture.locator('summary').click();
      }
    }
    await list().first().click();
  });

  test('the plots show values only where the cursor is', async () => {
    const legend = sheet().locator('.u-legend').first();
    expect(await legend.innerText()).not.toMatch(/no value|null|NaN/);
    await sheet().locator('figure.plot').first().focus();
    await page.keyboard.press('ArrowRight');
    expect(await sheet().locator('figure.plot [aria-live]').first().innerText()).toMatch(/^\d\d:\d\d:\d\d: run 47 .*, mean of mates /);
    await page.keyboard.press('Tab');
    expect(await page.evaluate("document.activeElement.closest('figure.plot') === null")).toBe(true);
  });

  test('next and previous by buttons and keys; a link reproduces the finding', async () => {
    await page.getByRole('button', { name: 'Next finding' }).click();
    await expect.poll(() => sheet().locator('h2').innerText()).toMatch(/Run 12/);
    const link = page.url();
    await page.keyboard.press(',');
    await expect.poll(() => sheet().locator('h2').innerText()).toMatch(/Run 47/);
    await page.keyboard.press('.');
    await expect.poll(() => sheet().locator('h2').innerText()).toMatch(/Run 12/);
    await expect.poll(() => page.evaluate('document.activeElement.id')).toBe('finding-title');
    const other = await stage.newPage();
    await other.goto(link);
    await other.locator('article.finding h2').filter({ hasText: 'Run 12' }).waitFor();
    await other.context().close();
    await page.goBack();
    await expect.poll(() => sheet().locator('h2').innerText()).toMatch(/Run 47/);
  });

  test('single-letter keys can be switched off, and stay off', async () => {
    await page.keyboard.press('?');
    await page.getByRole('dialog').getByLabel('Keys of a single character are on').uncheck();
    await page.keyboard.press('Escape');
    await page.getByRole('dialog').waitFor({ state: 'hidden' });
    const before = page.url();
    for (const key of ['.', ',', '?']) await page.keyboard.press(key);
    expect(page.url()).toBe(before);
    expect(await page.getByRole('dialog').count()).toBe(0);
    await page.reload();
    await page.locator('.evidence').first().waitFor();
    await page.keyboard.press('?');
    expect(await page.getByRole('dialog').count()).toBe(0);
    await page.getByRole('button', { name: 'Keys' }).click();
    await page.getByRole('dialog').getByLabel('Keys of a single character are on').check();
    await page.keyboard.press('Escape');
  });

  test('checks and measurements stand in words with their intervals', async () => {
    const checks = page.locator('.checks');
    expect(await checks.innerText()).toMatch(/Flow of every run against its tower mates/);
    expect(await checks.innerText()).not.toMatch(/run-flow|not-logged|too-little-data/);
    const ratio = page.locator('.measurements tr').filter({ hasText: 'Distance by the speed wheel ÷ by GNSS' });
    expect(await ratio.innerText()).toMatch(/\d+\.\d+ %\s+\d+\.\d+ to \d+\.\d+ %\s+\d+/);
  });
});

describe('marks', () => {
  test('are kept with their note, seen in the list, and survive a reload', async () => {
    await page.getByLabel('It was so', { exact: true }).check();
    await page.getByLabel('Note').fill('mud in the opener <b>of run 47</b>');
    await page.getByRole('button', { name: 'Save the mark' }).click();
    await page.locator('.notice').filter({ hasText: 'Marked: Confirmed.' }).waitFor();
    await page.reload();
    await page.locator('.evidence').first().waitFor();
    await page.locator('.finding-list .mark').filter({ hasText: 'Confirmed' }).waitFor();
    expect(await page.getByLabel('It was so', { exact: true }).isChecked()).toBe(true);
    expect(await page.getByLabel('Note').inputValue()).toBe('mud in the opener <b>of run 47</b>');
  });

  test('made in one window show in the other; two that collide are told', async () => {
    const other = await stage.newPage();
    await other.goto(page.url());
    await other.locator('.finding-list .mark').filter({ hasText: 'Confirmed' }).waitFor();
    await other.route('**/pulse', (route) => route.abort());
    await page.getByLabel('It was so and is fixed').check();
    await page.getByRole('button', { name: 'Save the mark' }).click();
    await page.locator('.finding-list .mark').filter({ hasText: 'Fixed' }).waitFor();
    await other.getByLabel('It was not so').check();
    await other.getByRole('button', { name: 'Save the mark' }).click();
    await other.getByRole('alert').filter({ hasText: 'Somebody marked this finding meanwhile' }).waitFor();
    await other.locator('.finding-list .mark').filter({ hasText: 'Fixed' }).waitFor();
    await other.unroute('**/pulse');
    await other.getByRole('button', { name: 'Save the mark' }).click();
    await expect.poll(() => page.locator('.finding-list .mark').allInnerTexts(), { timeout: 10_000 }).toEqual(['Not so']);
    await other.context().close();
  });

  test('a note that is not saved survives a look at another finding', async () => {
    await page.getByLabel('Note').fill('half a thought');
    await page.getByRole('button', { name: 'Next finding' }).click();
    await page.getByRole('button', { name: 'Finding before' }).click();
    expect(await page.getByLabel('Note').inputValue()).toBe('half a thought');
    await page.getByRole('button', { name: 'Take it back' }).click();
    await page.locator('.finding-list .mark').waitFor({ state: 'detached' });
  });
});

test('by keyboard alone from the start page to the evidence', async () => {
  const fresh = await stage.newPage();
  await fresh.goto(stage.base);
  await fresh.getByRole('heading', { name: 'Which day?' }).waitFor();
  const tabTo = async (wanted: string): Promise<void> => {
    for (let presses = 0; presses < 40; presses++) {
      await fresh.keyboard.press('Tab');
      const [text, outline] = (await fresh.evaluate('[document.activeElement.textContent, getComputedStyle(document.activeElement).outlineStyle]')) as [string, string];
      expect(outline).not.toBe('none');
      if (text.includes(wanted)) return;
    }
    throw new Error(`Tab never reached ${wanted}`);
  };
  await fresh.keyboard.press('Tab');
  expect(await fresh.evaluate('document.activeElement.textContent')).toBe('Skip to the content');
  await tabTo('Look at the sample day');
  await fresh.keyboard.press('Enter');
  await fresh.locator('.evidence').first().waitFor();
  await tabTo('Run 12');
  await fresh.keyboard.press('Enter');
  await fresh.locator('article.finding h2').filter({ hasText: 'Run 12' }).waitFor();
  await expect.poll(() => fresh.evaluate('document.activeElement.id')).toBe('finding-title');
  await fresh.locator('.lead-evidence .evidence').waitFor();
  /* From the heading that now has the focus the first picture is at most three steps away. */
  let steps = 0;
  while (!(await fresh.evaluate("document.activeElement.closest('.evidence') !== null")) && steps < 6) {
    await fresh.keyboard.press('Tab');
    steps += 1;
  }
  expect(steps).toBeLessThanOrEqual(3);
  await fresh.context().close();
});

test('a server that is gone is told, and what is on the page stays', async () => {
  const fresh = await stage.newPage();
  await fresh.goto(page.url());
  await fresh.locator('.evidence').first().waitFor();
  await fresh.context().setOffline(true);
  await fresh.getByRole('alert').filter({ hasText: 'Sowtrace stopped answering' }).waitFor();
  expect(await fresh.locator('.verdict').innerText()).toMatch(/run 47/i);
  await fresh.context().setOffline(false);
  await fresh.getByRole('alert').filter({ hasText: 'Sowtrace stopped answering' }).waitFor({ state: 'detached' });
  await fresh.context().close();
});

test('on paper: white, without controls, what matters in it', async () => {
  await page.emulateMedia({ media: 'print', colorScheme: 'dark' });
  expect(await page.evaluate('getComputedStyle(document.body).backgroundColor')).toBe('rgb(255, 255, 255)');
  expect(await page.locator('.on-paper').innerText()).toMatch(/day\.log\.gz, SHA-256 [0-9a-f]{64}/);
  expect(await page.locator('main button:visible').filter({ hasNotText: /Put right|Keep an eye/ }).count()).toBe(0);
  expect(await page.getByText('Before you go to the machine').isVisible()).toBe(true);
  const pdf = await page.pdf({ format: 'A4' });
  expect(pdf.length).toBeGreaterThan(20_000);
  await page.emulateMedia({ media: null, colorScheme: 'light' });
});

test('nothing went outside, nothing broke the content policy, no script failed', () => {
  expect(stage.outside).toEqual([]);
  expect(stage.complaints).toEqual([]);
});
