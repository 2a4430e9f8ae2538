import { readFile } from 'node:fs/promises';
import path from 'node:path';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { SAMPLE, stageViewer, type ViewerStage } from './viewer-page.ts';

let stage: ViewerStage;
let page: Page;

beforeAll(async () => {
  stage = await stageViewer({ sample: true });
  page = await stage.newPage();
  await page.goto(stage.server.address);
  await page.locator('.evidence').first().waitFor();
  await page.getByRole('button', { name: 'Setup' }).click();
});
afterAll(() => stage.close());

const judge = () => page.getByRole('button', { name: 'Judge the day with this' });
const field = (label: string) => page.getByLabel(label, { exact: true });

describe('the setup as a form', () => {
  test('shows what the day was judged with, as it was written', async () => {
    expect(await field('Working width').inputValue()).toBe('18.288 m');
    expect(await field('Wheel constant').inputValue()).toBe('20.00 pulses/m');
    expect(await field('Runs, tower F').inputValue()).toBe('51-60');
    expect(await field('Target rate, product wheat').inputValue()).toBe('120 kg/ha');
    expect(await judge().isDisabled()).toBe(true);
  });

  test('says which checks each part switches on, and how they stand', async () => {
    const products = page.locator('.setup-section').filter({ has: page.getByRole('heading', { name: 'Products' }) });
    expect(await products.locator('.enables').innerText()).toMatch(/Switches on Fan speed against its floor \(looked, nothing wrong\)/);
  });

  test('a wrong entry is explained beside its field and the day is not judged with it', async () => {
    await field('Working width').fill('18 bananas');
    const problem = page.locator('.entry-field').filter({ has: field('Working width') }).locator('.field-problem');
    expect(await problem.innerText()).toMatch(/the unit "bananas" is not known here.*for example "18\.3 m"/i);
    expect(await field('Working width').getAttribute('aria-invalid')).toBe('true');
    expect(await judge().isDisabled()).toBe(true);
    await page.getByText('One entry cannot be used yet').waitFor();
    await page.locator('.trouble').getByRole('button', { name: 'Working width', exact: true }).click();
    expect(await page.evaluate('document.activeElement.dataset.place')).toBe('machine.workingWidth');

    await field('Working width').fill('60 lb');
    expect(await problem.innerText()).toMatch(/"lb" is not a unit of length/);
    await field('Working width').fill('60 ft');
    expect(await problem.count()).toBe(0);
    expect(await page.locator('.entry-field').filter({ has: field('Working width') }).locator('.echo').innerText()).toBe('= 18.29 m');
  });

  test('a bare number takes the unit shown; the units chosen say which', async () => {
    await page.getByLabel('Units').selectOption('us');
    await field('Fan floor, product wheat').fill('3900');
    await field('Fan floor, product wheat').blur();
    expect(await field('Fan floor, product wheat').inputValue()).toBe('3900 rpm');
    await field('Row spacing').fill('12');
    await field('Row spacing').blur();
    expect(await field('Row spacing').inputValue()).toBe('12 in');
    await page.getByLabel('Units').selectOption('metric');
  });

  test('parts that contradict each other are named', async () => {
    await field('Fan, product wheat').fill('9');
    expect(await page.locator('.entry-field').filter({ has: field('Fan, product wheat') }).locator('.field-problem').innerText()).toMatch(/fan "9", which is not among "1", "2"/);
    await field('Fan, product wheat').fill('1');
  });

  test('judging again finds what the new setup shows, and what was typed is kept as typed', async () => {
    await judge().click();
    await page.locator('.notice').filter({ hasText: 'Judged again' }).waitFor();
    expect(await field('Working width').inputValue()).toBe('60 ft');
    await page.getByRole('button', { name: 'What to fix' }).click();
    /* The fan ran at about 3,650 rpm: above the floor before, below the one of 3,900 rpm now. */
    await page.locator('.finding-list').filter({ hasText: /fan/i }).waitFor();
    await page.getByRole('button', { name: 'Setup' }).click();
  });

  test('entries are added and removed; what is still lacking is said', async () => {
    await page.getByRole('button', { name: 'Add a tower' }).click();
    expect(await page.evaluate('document.activeElement.dataset.place')).toBe('machine.towers[6].id');
    expect(await field('Name, tower G').inputValue()).toBe('G');
    expect(await page.locator('.entry-field').filter({ has: field('Runs, tower G') }).locator('.field-problem').innerText()).toMatch(/Still needed|1-10/);
    await page.getByRole('button', { name: 'Remove tower G' }).click();
    expect(await field('Name, tower G').count()).toBe(0);
  });

  test('saves and loads setup.json; a broken file changes nothing', async () => {
    const [saved] = await Promise.all([page.waitForEvent('download'), page.getByRole('button', { name: 'Save setup.json' }).click()]);
    const text = await readFile(await saved.path(), 'utf8');
    expect(JSON.parse(text)).toMatchObject({ machine: { workingWidth: '60 ft', rowSpacing: '12 in' }, job: { products: [{ fanFloor: '3900 rpm' }] } });

    const load = async (name: string, content: string): Promise<void> => {
      const [chooser] = await Promise.all([page.waitForEvent('filechooser'), page.getByRole('button', { name: 'Load setup.json…' }).click()]);
      await chooser.setFiles({ name, mimeType: 'application/json', buffer: Buffer.from(content) });
    };
    await load('broken.json', '{"machine": ');
    await page.getByRole('alert').filter({ hasText: 'broken.json cannot be used' }).waitFor();
    expect(await field('Working width').inputValue()).toBe('60 ft');
    await load('setup.json', await readFile(path.join(SAMPLE, 'setup.json'), 'utf8'));
    await expect.poll(() => field('Working width').inputValue()).toBe('18.288 m');
    await judge().click();
    await page.locator('.notice').filter({ hasText: 'Judged again' }).waitFor();
  });

  test('what was typed survives a look at a finding, and can be undone', async () => {
    await field('Name').fill('the long drill');
    await page.getByRole('button', { name: 'What to fix' }).click();
    await page.locator('.verdict').waitFor();
    await page.getByRole('button', { name: 'Setup' }).click();
    expect(await field('Name').inputValue()).toBe('the long drill');
    await page.getByRole('button', { name: 'Undo all changes' }).click();
    expect(await field('Name').inputValue()).toBe('Drill D60');
  });

  test('can be entered before any log, and is then used', async () => {
    const fresh = await stage.newPage();
    await fresh.goto(stage.base);
    await fresh.getByRole('button', { name: 'Enter it now' }).click();
    await fresh.getByLabel('Name', { exact: true }).fill('entered before');
    await fresh.getByRole('button', { name: 'Keep it and choose the logs' }).click();
    await fresh.getByText('What you entered will be used.').waitFor();
    const [chooser] = await Promise.all([fresh.waitForEvent('filechooser'), fresh.getByRole('button', { name: 'Browse for files…' }).click()]);
    await chooser.setFiles([path.join(SAMPLE, 'day.log.gz'), path.join(SAMPLE, 'signals.json')]);
    await fresh.getByRole('button', { name: 'Read the day' }).click();
    await fresh.locator('.verdict').waitFor();
    await fresh.getByRole('button', { name: 'Setup' }).click();
    expect(await fresh.getByLabel('Name', { exact: true }).inputValue()).toBe('entered before');
    await fresh.context().close();
  });
});

test('nothing went outside, nothing broke the content policy, no script failed', () => {
  expect(stage.outside).toEqual([]);
  expect(stage.complaints).toEqual([]);
});
