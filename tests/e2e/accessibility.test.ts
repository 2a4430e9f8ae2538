import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { SAMPLE, SIDEWAYS, SMALL_TARGETS, axeFaults, dropOn, stageViewer, type ViewerStage } from './viewer-page.ts';

let stage: ViewerStage;
let folder = '';
let mapped = '';

beforeAll(async () => {
  stage = await stageViewer({ sample: true });
  folder = await mkdtemp(path.join(tmpdir(), 'sowtrace-e2e-'));
  mapped = path.join(folder, 'own-words.csv');
  await writeFile(mapped, ['time,Blower 1 rpm,Pace', ...Array.from({ length: 60 }, (_, second) => `2031-05-04T09:20:${String(second).padStart(2, '0')}Z,36${second % 10}0,2.${second % 10}`)].join('\n'));
});
afterAll(async () => {
  await stage.close();
  await rm(folder, { recursive: true, force: true });
});

const fresh = async (page: Page, words = ''): Promise<void> => {
  await page.goto('about:blank');
  await page.goto(words === '' ? stage.base : `${stage.server.address}${words}`);
};

/** Every state of the screens of this half of the viewer, and how to get there. */
const STATES: Readonly<Record<string, (page: Page) => Promise<void>>> = {
  'start': async (page) => {
    await fresh(page);
    await page.locator('.recent').waitFor();
  },
  'start with files, one wrong, headings being mapped': async (page) => {
    await fresh(page);
    await dropOn(page, [mapped, path.join(SAMPLE, 'README.md'), path.join(SAMPLE, 'expected.json'), path.join(SAMPLE, 'setup.json')]);
    await page.getByRole('button', { name: 'Say what 2 headings mean' }).click();
    await page.getByRole('button', { name: 'fan.1.speed' }).click();
    await page.getByLabel('Channel of Pace').fill('nonsense');
  },
  'reading': async (page) => {
    await fresh(page);
    await page.route(/\/api\/days\/[^/]+$/, (route) => route.fulfill({ json: { status: 'reading', file: 'day.log', bytes: 4e8, total: 9e8, startedMillisecondsAgo: 5000 } }));
    await page.getByRole('button', { name: 'Look at the sample day' }).click();
    await page.getByText(/400\.0 MB of 900\.0 MB, 44 %, 80\.0 MB\/s, 7 s left/).waitFor();
  },
  'a day that failed': async (page) => {
    await page.unrouteAll();
    await page.route(/\/api\/days\/[^/]+$/, (route) => route.fulfill({ json: { status: 'failed', error: { kind: 'internal', message: 'The day could not be held.', whatToDo: 'Please report it.' } } }));
    await fresh(page, '&units=us');
    await page.getByRole('heading', { name: 'The day could not be read' }).waitFor();
    expect(await page.locator('.recent button').filter({ hasText: 'could not be read' }).count()).toBe(0);
    await page.unrouteAll();
  },
  'a day that is not open': async (page) => {
    await fresh(page, 'x');
    await page.getByRole('heading', { name: 'This day is not here' }).waitFor();
  },
  'findings': async (page) => {
    await fresh(page);
    await fresh(page, '&reading=fix');
    await page.locator('.further-evidence canvas').first().waitFor();
    await page.locator('details').evaluateAll("(all) => all.forEach((one) => { one.open = true; })");
  },
  'setup with errors': async (page) => {
    await fresh(page, '&reading=setup');
    await page.getByLabel('Working width', { exact: true }).fill('wide');
    await page.getByLabel('Runs, tower A').fill('one to ten');
    await page.getByRole('button', { name: 'Add a product' }).click();
    await page.locator('.trouble').waitFor();
  },
  'logs': async (page) => {
    await fresh(page, '&reading=logs');
    await page.locator('.sheet.log').waitFor();
  },
  'help': async (page) => {
    await fresh(page, '&reading=logs');
    await page.locator('.sheet.log').waitFor();
    await page.keyboard.press('?');
    await page.getByRole('dialog').waitFor();
  },
};

describe.each(['light', 'dark'] as const)('in %s', (colorScheme) => {
  let page: Page;
  beforeAll(async () => {
    page = await stage.newPage({ colorScheme, reducedMotion: 'reduce' });
  });
  afterAll(() => page.context().close());

  test.each(Object.keys(STATES))('%s: axe finds nothing, targets are large enough, headings descend', async (name) => {
    await STATES[name]?.(page);
    expect(await axeFaults(page)).toEqual([]);
    expect(await page.evaluate(SMALL_TARGETS)).toEqual([]);
    const levels = (await page.evaluate("[...document.querySelectorAll('h1,h2,h3,h4')].filter((one) => one.checkVisibility()).map((one) => Number(one.tagName[1]))")) as number[];
    levels.forEach((level, index) => expect(level - (levels[index - 1] ?? 0)).toBeLessThanOrEqual(1));
    expect(await page.title()).toMatch(/\w{3}.* · Sowtrace$/);
  });
});

describe('every width', () => {
  test.each([320, 390, 683, 1366, 1920, 2560])('%i px: nothing reaches beyond the page', async (width) => {
    const page = await stage.newPage({ viewport: { width, height: 800 } });
    for (const name of ['start with files, one wrong, headings being mapped', 'findings', 'setup with errors', 'logs', 'help']) {
      await STATES[name]?.(page);
      expect(await page.evaluate(SIDEWAYS), name).toBe(0);
      const cut = await page.evaluate("[...document.querySelectorAll('main p, main dd, main li, main h2, main button')].filter((one) => one.checkVisibility() && one.scrollWidth > one.clientWidth + 1 && one.clientWidth > 0 && getComputedStyle(one).display !== 'inline' && one.closest('.scroll, .unseen') === null && !one.classList.contains('unseen')).map((one) => one.outerHTML.slice(0, 100))");
      expect(cut, name).toEqual([]);
    }
    await page.context().close();
  });
});

test('forced colours: what is chosen is still told apart', async () => {
  const page = await stage.newPage({ forcedColors: 'active' });
  await fresh(page, '');
  await fresh(page, '&reading=fix');
  await page.locator('.finding-list').waitFor();
  const outlines = (await page.evaluate("[...document.querySelectorAll('.finding-list button')].map((one) => getComputedStyle(one).outlineStyle)")) as string[];
  expect(outlines[0]).toBe('solid');
  expect(outlines[1]).toBe('none');
  await page.context().close();
});

test('another reading has the focus at its top, and its name in the title', async () => {
  const page = await stage.newPage();
  await fresh(page, '&reading=fix');
  await page.locator('.verdict').waitFor();
  expect(await page.evaluate('document.activeElement === document.body')).toBe(true);
  await page.getByRole('button', { name: 'Setup' }).click();
  await page.locator('.setup').waitFor();
  expect(await page.evaluate('document.activeElement.tagName')).toBe('MAIN');
  expect(await page.title()).toMatch(/^Setup · 8 May 2031/);
  await page.getByRole('button', { name: 'What to fix' }).click();
  await expect.poll(() => page.title()).toMatch(/^What to fix/);
  await page.context().close();
});

test('the help sheet keeps the focus inside, and gives it back', async () => {
  const page = await stage.newPage();
  await fresh(page, '&reading=logs');
  await page.locator('.sheet.log').waitFor();
  const button = page.getByRole('button', { name: 'Keys' });
  await button.click();
  await page.getByRole('dialog').waitFor();
  for (let presses = 0; presses < 6; presses++) {
    await page.keyboard.press('Tab');
    expect(await page.evaluate("document.activeElement === document.body || document.activeElement.closest('dialog') !== null")).toBe(true);
  }
  await page.keyboard.press('Escape');
  await page.getByRole('dialog').waitFor({ state: 'hidden' });
  expect(await page.evaluate('document.activeElement.textContent')).toContain('Keys');
  await page.context().close();
});

test('nothing went outside, nothing broke the content policy, no script failed', () => {
  expect(stage.outside).toEqual([]);
  expect(stage.complaints).toEqual([]);
});
