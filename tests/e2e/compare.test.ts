import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { DayState } from '../../shared/api.ts';
import type { KeptDays } from '../../shared/case.ts';
import type { RunningServer, ServerOptions } from '../../server/main.ts';
import { CLEAN, SAMPLE, SIDEWAYS, SMALL_TARGETS, axeFaults, stageViewer, type ViewerStage } from './viewer-page.ts';

const ROOT = path.resolve(import.meta.dirname, '../..');
let folder = '';
let stage: ViewerStage;
let page: Page;

/** Reads a sample day and keeps it, as the button of the page does. */
async function keep(logs: readonly string[], files: ServerOptions['files'], store: string): Promise<void> {
  const { startServer } = (await import(path.join(ROOT, 'dist/server/main.js'))) as { startServer: (options: ServerOptions) => Promise<RunningServer> };
  const server = await startServer({ port: 0, logs, files, units: 'metric', store });
  const { origin, hash } = new URL(server.address);
  const day = `${origin}/api/days/${new URLSearchParams(hash.slice(1)).get('day') ?? ''}`;
  while (['reading', 'judging'].includes(((await (await fetch(day)).json()) as DayState).status)) await new Promise((resolve) => { setTimeout(resolve, 100); });
  expect((await fetch(`${day}/keep`, { method: 'POST', headers: { 'x-sowtrace': '1', 'content-type': 'application/json' }, body: '{}' })).status).toBe(201);
  await server.stop();
}

beforeAll(async () => {
  folder = await mkdtemp(path.join(tmpdir(), 'sowtrace-compare-'));
  const store = path.join(folder, 'cases');
  await keep([path.join(CLEAN, 'day.csv.gz')], { setup: path.join(CLEAN, 'setup.json') }, store);
  await keep([path.join(SAMPLE, 'day.log.gz')], { setup: path.join(SAMPLE, 'setup.json'), signals: path.join(SAMPLE, 'signals.json') }, store);
  stage = await stageViewer({ sample: false, store });
  page = await stage.newPage();
  page.setDefaultTimeout(10_000);
});
afterAll(async () => {
  await stage.close();
  await rm(folder, { recursive: true, force: true });
});

const idOf = async (log: string): Promise<string> => {
  const { cases } = (await (await fetch(`${stage.base}api/cases`)).json()) as KeptDays;
  return cases.find(({ name }) => name.includes(log))?.id ?? '';
};
const table = (on = page) => on.getByRole('table', { name: /Measured on both days/ });

test('two kept days are compared by keyboard alone; the address holds them', async () => {
  await page.goto(stage.base);
  const before = page.getByLabel('Before', { exact: true });
  await before.waitFor();
  const [clean, mud] = [await idOf('day.csv.gz'), await idOf('day.log.gz')];
  expect(new Set([await before.inputValue(), await page.getByLabel('After', { exact: true }).inputValue()])).toEqual(new Set([clean, mud]));
  await before.selectOption(mud);
  await page.getByLabel('After', { exact: true }).selectOption(mud);
  expect(await page.getByRole('button', { name: 'Compare' }).isDisabled()).toBe(true);
  await page.getByText('Choose two different days.').waitFor();
  await page.getByLabel('After', { exact: true }).selectOption(clean);
  await page.getByLabel('After', { exact: true }).focus();
  await page.keyboard.press('Tab');
  expect(await page.evaluate<string>('document.activeElement.textContent')).toBe('Compare');
  await page.keyboard.press('Enter');
  await table().waitFor();
  expect(Object.fromEntries(new URLSearchParams(new URL(page.url()).hash.slice(1)))).toMatchObject({ before: mud, after: clean });
  await page.keyboard.press('Tab');
  expect(await page.evaluate<string>("document.activeElement.closest('.comparison') === null ? 'elsewhere' : document.activeElement.tagName")).toBe('SUMMARY');
});

test('what changed comes first, the blocked run of the muddy day is gone, and every verdict is one of three words', async () => {
  expect(await table().getByRole('columnheader').allInnerTexts()).toEqual(['measurement', 'before', 'after', 'difference', 'verdict']);
  const words = await table().locator('tbody td:last-child').allInnerTexts();
  expect(words.length).toBeGreaterThan(3);
  const order = ['changed', 'cannot tell', 'not shown to have changed'];
  const places = words.map((word) => order.indexOf(word.split('\n')[0] ?? ''));
  expect(places).not.toContain(-1);
  expect(places).toEqual(places.toSorted((a, b) => a - b));
  const gone = page.locator('.comparison h4', { hasText: /^(?:Findings gone|Not seen again)/ }).locator('+ ul');
  expect((await gone.allInnerTexts()).join('\n')).toContain('47');
  expect(await page.locator('.comparison .answer').innerText()).toMatch(/Findings: \d gone, 0 still there, 0 new\./);
  expect(await page.locator('.comparison').innerText()).not.toContain('Between passes');
});

test('a link reproduces it, in US units when it says so', async () => {
  const metric = await table().innerText();
  const again = await stage.newPage();
  await again.goto(page.url());
  await table(again).waitFor();
  expect(await table(again).innerText()).toBe(metric);
  await again.getByLabel('Units').selectOption('us');
  const rest = again.locator('.comparison details');
  await rest.locator('summary').click();
  expect(await rest.innerText()).toMatch(/\d ac\b/);
  expect(await rest.innerText()).not.toMatch(/\d ha\b/);
  await again.goto(`${stage.base}#before=c0&after=c1`);
  await again.getByText('is not kept, or damaged.').waitFor();
  await again.context().close();
});

test('a machine over its season opens as a page of its own', async () => {
  const link = page.getByRole('link', { name: /Drill D60 over its season/ });
  const [season] = await Promise.all([page.context().waitForEvent('page'), link.click()]);
  await season.waitForLoadState();
  expect(await season.locator('h1').innerText()).toContain('Drill D60');
  await season.setViewportSize({ width: 320, height: 640 });
  expect(await season.evaluate(SIDEWAYS)).toBeLessThanOrEqual(0);
  await season.close();
});

test('the start page asks for the kept days once, and what is removed leaves the choices as well', async () => {
  const start = await stage.newPage();
  let asked = 0;
  start.on('request', (request) => { if (new URL(request.url()).pathname === '/api/cases') asked += 1; });
  await start.goto(stage.base);
  const choices = start.getByLabel('After', { exact: true }).locator('option');
  await choices.first().waitFor({ state: 'attached' });
  await start.waitForLoadState('networkidle');
  expect(asked).toBe(1);
  expect(await choices.count()).toBe(2);
  await start.getByRole('button', { name: /^Remove/ }).first().click();
  await start.getByRole('button', { name: 'Yes, remove it' }).click();
  await start.getByText('was removed.').waitFor();
  expect(await choices.count()).toBe(0);
  await start.getByRole('button', { name: 'Undo' }).click();
  await choices.first().waitFor({ state: 'attached' });
  expect(await choices.count()).toBe(2);
  await start.context().close();
});

test.each([[320, 640], [390, 844], [821, 900], [1366, 900]])('at %i px: axe finds nothing, nothing reaches beyond the page or scrolls sideways in it, targets are large enough', async (width, height) => {
  await page.setViewportSize({ width, height });
  expect(await axeFaults(page)).toEqual([]);
  await page.locator('.comparison details').evaluate((rest) => rest.setAttribute('open', ''));
  expect(await page.evaluate(SIDEWAYS)).toBeLessThanOrEqual(0);
  expect(await page.locator('.comparison, .comparison *:not(.unseen, thead *)').evaluateAll((parts) => parts.filter(({ scrollWidth, clientWidth }) => clientWidth > 1 && scrollWidth > clientWidth).map(({ outerHTML }) => outerHTML.slice(0, 80)))).toEqual([]);
  expect(await page.evaluate(SMALL_TARGETS)).toEqual([]);
  const shots = process.env['SCREENSHOTS'];
  if (shots !== undefined) await page.screenshot({ path: path.join(shots, `compare-${width}.png`), fullPage: true });
});

test('nothing went to another computer, and nothing complained', () => {
  expect(stage.outside).toEqual([]);
  expect(stage.complaints).toEqual([]);
});
