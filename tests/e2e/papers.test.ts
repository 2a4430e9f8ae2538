import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { pathToFileURL } from 'node:url';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { cautions } from '../../src/detectors/cautions.ts';
import { PAPER_NAMES, paper, type PaperName, type PaperSource } from '../../src/handover/papers/papers.ts';
import { finding, handMade, logNamed, sampleSource, worldSource } from '../handover/papers/paper-days.ts';
import { launchBrowser } from './browser.ts';

/** Points (1/72 in) of the paper, and CSS pixels (1/96 in) inside its margins of 15 mm, 17 mm below: ISO 216 A4, ANSI Letter. */
const FORMATS = [
  { format: 'A4', width: 595.28, height: 841.89, inner: { width: ((210 - 30) / 25.4) * 96, height: ((297 - 32) / 25.4) * 96 } },
  { format: 'Letter', width: 612, height: 792, inner: { width: ((215.9 - 30) / 25.4) * 96, height: ((279.4 - 32) / 25.4) * 96 } },
] as const;
/** More would not be read. */
const MOST_PAGES: Readonly<Record<PaperName, number>> = { complaint: 12, rates: 5, tomorrow: 2 };

const LONG = 'x'.repeat(300);
/** The most that one finding has today, and a caution of the others with each. */
const cautionsFor = (k: number): readonly string[] => [cautions.K1, cautions.K3, cautions.K4, cautions.K9, k === 0 ? cautions.K10 : Object.values(cautions)[k % 10] ?? ''];

/** Twelve findings, every caution of the trade, names without a place to break. */
const crowded = (): PaperSource => handMade(
  Array.from({ length: 12 }, (_, k) => finding({
    id: `f${k}`, subject: `run.${k + 1}`, title: `Run ${k + 1} was blocked from 10:42:29 to 11:58:05`, decidingCheck: `Lift the drill, look into the opener of run ${k + 1}, then pull its hose and blow it through. In the field flag the first and the last seed at two speeds, and write both down.`, cautions: cautionsFor(k),
    correction: { setting: 'wheel constant', old: '18.80 pulses/m', new: '20.00 pulses/m' }, consequence: { text: 'One row got nothing.', areaHa: 0.279, massKg: -33.4 }, cannotTell: 'The log cannot tell where between tower and opener it sits, nor a run that came off below its sensor, nor what the soil did with the seed that was left.',
  })),
  {
    logs: [logNamed(`${LONG}.log`), logNamed('tractor.log')], notes: LONG,
    setup: { machine: { name: LONG, towers: [], tanks: [{ id: '1', name: LONG }], meters: [], fans: [], setAside: [] }, job: { products: [{ tank: '1', name: LONG }], loads: [] } },
    analysis: { checks: [{ detector: 'run-flow', status: 'found', why: 'Twelve findings.' }], summary: { areaHa: 70, workingHours: 5, products: [{ tank: '1', name: LONG, targetKgPerHa: 120, appliedKgPerHa: { value: 127, low: 126, high: 128 } }] } },
  },
);

let folder = '';
let browser: Browser;
let page: Page;
const asked: string[] = [];
const complaints: string[] = [];
const sources = new Map<string, PaperSource>();

beforeAll(async () => {
  folder = await mkdtemp(path.join(tmpdir(), 'sowtrace-papers-'));
  browser = await launchBrowser();
  page = await (await browser.newContext()).newPage();
  page.on('request', (request) => { if (!request.url().startsWith('file:')) asked.push(request.url()); });
  page.on('console', (message) => complaints.push(message.text()));
  const wheel = worldSource('S01');
  sources.set('sample', await sampleSource());
  sources.set('S01 in US units', { ...wheel, reading: { ...wheel.reading, units: 'us', zone: 'America/Regina' }, area: 50e4 });
  sources.set('crowded', crowded());
}, 180_000);
afterAll(async () => {
  await browser.close();
  await rm(folder, { recursive: true, force: true });
});

async function open(name: PaperName, day: string): Promise<void> {
  const source = sources.get(day);
  if (source === undefined) throw new Error(`no day ${day}`);
  const file = path.join(folder, `${name}.html`);
  await writeFile(file, paper(name, source));
  await page.goto(pathToFileURL(file).href);
}

/** Elements that reach beyond the width, of those that are seen; what scrolls inside its own box on a phone is let be. */
const beyond = async (width: number): Promise<readonly string[]> => page.evaluate<string[]>(`[...document.querySelectorAll('body *')]
  .filter((each) => each.closest('.wide, .picture') === null && each.getBoundingClientRect().width > 0)
  .filter((each) => each.getBoundingClientRect().right > ${width} + 1 || each.getBoundingClientRect().left < -1)
  .map((each) => each.tagName + ' ' + (each.className.baseVal ?? each.className) + ' ' + each.textContent.slice(0, 60))`);

describe.each(['sample', 'S01 in US units', 'crowded'])('%s', (day) => {
  test.each(PAPER_NAMES)('%s prints on A4 and Letter: pages of that size, not too many, nothing cut off', async (name) => {
    await open(name, day);
    for (const { format, width, height, inner } of FORMATS) {
      const pdf = (await page.pdf({ format, printBackground: true })).toString('latin1');
      const boxes = [...pdf.matchAll(/\/MediaBox\s*\[\s*0\s+0\s+([\d.]+)\s+([\d.]+)\s*\]/g)].map((match) => [Number(match[1]), Number(match[2])] as const);
      expect(boxes.length).toBeGreaterThan(0);
      expect(boxes.length).toBe([...pdf.matchAll(/\/Type\s*\/Page\b/g)].length);
      expect(boxes.length).toBeLessThanOrEqual(MOST_PAGES[name]);
      for (const [wide, high] of boxes) {
        expect(Math.abs(wide - width)).toBeLessThan(1.5);
        expect(Math.abs(high - height)).toBeLessThan(1.5);
      }
      await page.emulateMedia({ media: 'print' });
      await page.setViewportSize({ width: Math.floor(inner.width), height: Math.floor(inner.height) });
      expect(await beyond(Math.floor(inner.width))).toEqual([]);
      const scrolled = await page.evaluate<string[]>(`[...document.querySelectorAll('.wide, .picture, table')].filter((each) => each.scrollWidth > each.clientWidth + 1).map((each) => each.textContent.slice(0, 60))`);
      expect(scrolled).toEqual([]);
      if (name === 'complaint') {
        const end = await page.evaluate<number>(`document.querySelector('.verdict').getBoundingClientRect().bottom + scrollY`);
        expect(end, 'page one holds the verdict').toBeLessThanOrEqual(inner.height);
      }
      await page.emulateMedia({ media: null });
    }
  });

  test.each(PAPER_NAMES)('%s on a phone: nothing beyond 360 pixels, text of readable size', async (name) => {
    await open(name, day);
    await page.setViewportSize({ width: 360, height: 740 });
    expect(await beyond(360)).toEqual([]);
    expect(await page.evaluate<number>('document.documentElement.scrollWidth')).toBeLessThanOrEqual(360);
    expect(await page.evaluate<number>(`Math.min(...[...document.querySelectorAll('p, td, th, dd, li')].map((each) => parseFloat(getComputedStyle(each).fontSize)))`)).toBeGreaterThanOrEqual(11);
  });
});

/* axe-core, WCAG 2.1 A and AA; it has to be let in past the paper's own policy. */
test.each(PAPER_NAMES)('%s is readable with a screen reader and by keyboard alone', async (name) => {
  const axe = await readFile(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
  const letIn = await (await browser.newContext({ bypassCSP: true, viewport: { width: 390, height: 800 } })).newPage();
  await letIn.setContent(paper(name, sources.get('sample') ?? crowded()));
  await letIn.evaluate(axe);
  const found = await letIn.evaluate<{ violations: { id: string; nodes: { html: string }[] }[] }>('axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa"] })');
  expect(found.violations.map(({ id, nodes }) => `${id}: ${nodes[0]?.html ?? ''}`)).toEqual([]);
  await letIn.context().close();
});

test('no paper asked for anything, and its own policy found nothing to refuse', () => {
  expect(asked).toEqual([]);
  expect(complaints).toEqual([]);
});
