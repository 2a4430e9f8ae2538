import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { zipSync } from 'fflate';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { SIDEWAYS, dropOn, stageViewer, type ViewerStage } from './viewer-page.ts';

/* Names and cells that try to be more than text. */

const PAYLOADS = [
  '<img src=x onerror=alert(1)>', '"><script>alert(1)</script>', "javascript:alert('1')", '{{constructor.constructor("alert(1)")()}}',
  '${alert(1)}', '<svg onload=alert(1)>', '__proto__', 'constructor', "'; DROP TABLE runs; --", '‹mass|1|›',
] as const;
const RTL = 'seed\u202egnp.vsc';
const LONG = `${'w'.repeat(150)} ${'m'.repeat(149)}`;

let stage: ViewerStage;
let page: Page;
let folder = '';

beforeAll(async () => {
  stage = await stageViewer({ sample: false });
  page = await stage.newPage();
  folder = await mkdtemp(path.join(tmpdir(), 'sowtrace-e2e-'));
});
afterAll(async () => {
  await stage.close();
  await rm(folder, { recursive: true, force: true });
});

const quoted = (text: string): string => `"${text.replaceAll('"', '""')}"`;

/** A minute of a log whose headings are hostile. */
function csv(headings: readonly string[]): string {
  const seconds = Array.from({ length: 60 }, (_, second) => `2031-05-04T09:20:${String(second).padStart(2, '0')}Z,3600,${headings.map((_, index) => second + index).join(',')}`);
  return [`time,fan.1.speed,${headings.map(quoted).join(',')}`, ...seconds].join('\n');
}

/** Nothing of a payload became an element, and none of its handlers ran. */
async function staysText(): Promise<{ readonly elements: number; readonly isClean: unknown; readonly sideways: unknown; readonly complaints: readonly string[] }> {
  return {
    elements: await page.locator('img, script:not([type=module]), svg[onload], iframe').count(),
    isClean: await page.evaluate('({}).polluted === undefined && Object.getPrototypeOf({}) === Object.prototype'),
    sideways: await page.evaluate(SIDEWAYS),
    complaints: stage.complaints,
  };
}
const ALL_WELL = { elements: 0, isClean: true, sideways: 0, complaints: [] };

describe('hostile names are text', () => {
  test('in file names, also inside archives and of wrong files', async () => {
    await page.goto(stage.base);
    const entries = Object.fromEntries([...PAYLOADS.map((name) => `${name.replaceAll('/', '∕')}.csv`), `${RTL}.csv`, `${LONG}.csv`, '../../../etc/passwd.csv'].map((name) => [name, new TextEncoder().encode(csv(['x']))]));
    const archive = path.join(folder, 'hostile.zip');
    await writeFile(archive, zipSync(entries));
    await dropOn(page, [archive]);
    const rows = page.locator('.file-list > li');
    await expect.poll(() => rows.filter({ hasText: /CSV/ }).count(), { timeout: 20_000 }).toBe(Object.keys(entries).length);
    const text = await page.locator('.file-list').innerText();
    expect(text).toContain('<img src=x onerror=alert(1)>');
    expect(text).not.toContain('\u202e');
    expect(text).toContain('seed\ufffdgnp.vsc');
    expect(await rows.filter({ hasText: 'wwwww' }).locator('bdi').innerText()).toMatch(/^.{80,140}$/);
    expect(await staysText()).toEqual(ALL_WELL);
  });

  test('in headings: the list of what was read and their mapping', async () => {
    await page.goto('about:blank');
    await page.goto(stage.base);
    const headings = [...PAYLOADS, RTL, LONG];
    const file = path.join(folder, '<b>bold<i>.csv');
    await writeFile(file, csv(headings));
    await dropOn(page, [file]);
    await page.locator('.file-list > li').filter({ hasText: /CSV/ }).waitFor();
    await page.getByRole('button', { name: 'Read the day' }).click();
    await page.locator('.verdict').waitFor();
    expect(await page.locator('.which').innerText()).toContain('<b>bold<i>.csv');
    expect(await staysText()).toEqual(ALL_WELL);
    await page.getByRole('button', { name: /^Logs/ }).click();
    await page.locator('.mapping').waitFor();
    const text = await page.locator('.mapping').innerText();
    for (const payload of PAYLOADS) expect(text).toContain(payload);
    expect(text).not.toContain('\u202e');
    expect(await staysText()).toEqual(ALL_WELL);

    /* Given a meaning, the hostile heading goes through columns.json to the server and back. */
    await page.getByLabel('Channel of __proto__').fill('fan.2.speed');
    await page.getByLabel('Channel of <img src=x onerror=alert(1)>').fill('engine.speed');
    await page.getByRole('button', { name: /Read the logs again/ }).click();
    await page.locator('.sheet.log').waitFor();
    await expect.poll(async () => page.locator('.mapping').innerText()).not.toContain('<img src=x');
    await page.getByRole('button', { name: 'The day' }).click();
    await page.locator('main').waitFor();
    expect(await staysText()).toEqual(ALL_WELL);
  });

  test('in the setup: names of tanks and products', async () => {
    await page.getByRole('button', { name: 'Setup' }).click();
    const setup = { machine: { name: PAYLOADS[0], tanks: [{ id: '1', name: PAYLOADS[1] }], fans: [{ id: '1', name: LONG }] }, job: { products: [{ tank: '1', name: PAYLOADS[5], fan: '1', fanFloor: '3900 rpm', targetRate: '120 kg/ha' }] } };
    const [chooser] = await Promise.all([page.waitForEvent('filechooser'), page.getByRole('button', { name: 'Load setup.json…' }).click()]);
    await chooser.setFiles({ name: 'setup.json', mimeType: 'application/json', buffer: Buffer.from(JSON.stringify(setup)) });
    await page.getByRole('button', { name: 'Judge the day with this' }).click();
    await page.locator('.notice').filter({ hasText: 'Judged again' }).waitFor();
    expect(await staysText()).toEqual(ALL_WELL);
    await page.getByRole('button', { name: 'What to fix' }).click();
    await page.locator('.verdict').waitFor();
    expect(await staysText()).toEqual(ALL_WELL);
    await page.getByRole('button', { name: 'The rates' }).click();
    await page.locator('main').waitFor();
    expect(await staysText()).toEqual(ALL_WELL);
  });

  test('in the address', async () => {
    await page.goto('about:blank');
    await page.goto(`${stage.base}#${new URLSearchParams({ day: PAYLOADS[0], finding: PAYLOADS[1], reading: PAYLOADS[5], channels: PAYLOADS[9], units: '<b>' })}`);
    await page.getByRole('heading', { name: 'This day is not here' }).waitFor();
    expect(await staysText()).toEqual(ALL_WELL);
  });
});

test('nothing went outside', () => {
  expect(stage.outside).toEqual([]);
});
