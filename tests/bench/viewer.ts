import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { gzipSync } from 'node:zlib';
import type { Page } from 'playwright-core';
import type { DayState } from '../../shared/api.ts';
import { startServer } from '../../server/main.ts';
import { launchBrowser } from '../e2e/browser.ts';
import { keptPictures } from './kept-day.ts';
import { COLUMNS, HOURS, LONG_DAY_SETUP, writeLongDay } from './long-day.ts';
import type { BenchRow } from './reading.ts';

const ZOOMS = 60;
const REPLAY_SECONDS = 6;
const ROOT = path.resolve(import.meta.dirname, '../../..');

/** The viewer's speed on a long day, in Debian's Chromium without a screen or graphics card. */
export async function viewerBench(say: (text: string) => void): Promise<readonly BenchRow[]> {
  const folder = await mkdtemp(path.join(tmpdir(), 'sowtrace-bench-'));
  const [log, setup] = [path.join(folder, 'day.csv'), path.join(folder, 'setup.json')];
  say('writing the day …');
  const samples = await writeLongDay(log);
  await writeFile(setup, JSON.stringify(LONG_DAY_SETUP));
  const began = performance.now();
  const store = path.join(folder, 'cases');
  const server = await startServer({ port: 0, logs: [log], files: { setup }, units: 'metric', store });
  const browser = await launchBrowser();
  try {
    say('reading and judging it …');
    const read = await untilReady(server.address);
    say(`${HOURS} h, ${COLUMNS} channels, ${(samples / 1e6).toFixed(1)} million samples; read in ${(read / 1000 - began / 1000).toFixed(1)} s`);
    const page = await browser.newPage({ viewport: { width: 1366, height: 900 } });
    const first = await firstPicture(page, `${server.address}&reading=day`);
    await page.locator('.map-frame[data-marker]').waitFor();
    await page.waitForTimeout(3000);
    const again = await firstPicture(page, `${server.address}&reading=day`);
    await page.waitForTimeout(1500);
    const zooms = await zoomLatencies(page);
    const fps = await replayRate(page);
    await page.goto('about:blank');
    const kept = await keptPictures(browser, new URL('/', server.address), dayOf(server.address), store);
    const empty = await page.evaluate<number>(COUNT_FRAMES);
    const script = gzipSync(await readFile(path.join(ROOT, 'dist/web/viewer.js')), { level: 9 }).length;
    return [
      row('kept day, from the click to verdict and findings', `${kept.findings.toFixed(0)} ms`, '≤ 1000 ms', kept.findings <= 1000),
      row('kept day, from the click to its story', `${kept.story.toFixed(0)} ms`, '≤ 1000 ms', kept.story <= 1000),
      row('kept day, from the click to the lines of its lanes', `${kept.lines.toFixed(0)} ms`, '≤ 1000 ms', kept.lines <= 1000),
      row('page of a day that was just read, to its lines (in a new browser)', `${first.toFixed(0)} ms`, '', true),
      row('page of an open day loaded again, to its lines', `${again.toFixed(0)} ms`, '≤ 1000 ms', again <= 1000),
      row(`zoom or pan to fresh lanes and runs, median of ${ZOOMS}`, `${quantile(zooms, 0.5).toFixed(0)} ms`, '', true),
      row('zoom or pan to fresh lanes and runs, 95th percentile', `${quantile(zooms, 0.95).toFixed(0)} ms`, '≤ 100 ms', quantile(zooms, 0.95) <= 100),
      row('replay at 60× with lanes and map in view', `${fps.toFixed(1)} frames/s`, '≥ 50 frames/s', fps >= 50),
      row('an empty page on this machine now', `${empty.toFixed(1)} frames/s`, '', true),
      row('viewer script, gzipped', `${(script / 1000).toFixed(1)} kB`, '< 150 kB', script < 150_000),
    ];
  } finally {
    await browser.close();
    await server.stop();
    await rm(folder, { recursive: true, force: true });
  }
}

const row = (what: string, measured: string, target: string, isReached: boolean): BenchRow => ({ what, measured, target, isReached });

const dayOf = (address: string): string => new URLSearchParams(new URL(address).hash.slice(1)).get('day') ?? '';

async function untilReady(address: string): Promise<number> {
  const day = dayOf(address);
  for (;;) {
    const state = (await (await fetch(new URL(`/api/days/${day}`, address))).json()) as DayState;
    if (state.status === 'ready') return performance.now();
    if (state.status === 'failed') throw new Error(state.error.message);
    await new Promise((resolve) => { setTimeout(resolve, 200); });
  }
}

/** ms from asking for the page until story and lines of the whole day are painted. */
async function firstPicture(page: Page, address: string): Promise<number> {
  await page.goto('about:blank');
  await page.goto(address, { waitUntil: 'commit' });
  return page.evaluate(`(async () => {
    for (;;) {
      if (document.querySelector('.lane-plot canvas') !== null && document.querySelector('.density')?.textContent) break;
      await new Promise(requestAnimationFrame);
    }
    await new Promise(requestAnimationFrame);
    return performance.now();
  })()`);
}

/** ms from the key to the frame in which lanes and runs stand on data fetched for the new range. */
function zoomLatencies(page: Page): Promise<number[]> {
  return page.evaluate(`(async () => {
    const lane = document.querySelector('figure[data-lane=speeds]');
    const place = document.querySelector('.day-lanes');
    const fresh = () => place.dataset.fresh;
    const keys = ['+', '+', '+', 'Shift+ArrowRight', '+', 'Shift+ArrowLeft', '-', 'Shift+ArrowRight', '-', '-', '-', 'Shift+ArrowRight'];
    const times = [];
    lane.focus();
    for (let k = 0; times.length < ${ZOOMS}; k++) {
      const name = keys[k % keys.length];
      const before = fresh();
      const began = performance.now();
      lane.dispatchEvent(new KeyboardEvent('keydown', { key: name.replace('Shift+', ''), shiftKey: name.startsWith('Shift'), bubbles: true, cancelable: true }));
      while (fresh() === before && performance.now() - began < 3000) await new Promise((resolve) => { setTimeout(resolve, 1); });
      await new Promise(requestAnimationFrame);
      if (fresh() !== before) times.push(performance.now() - began);
      await new Promise((resolve) => { setTimeout(resolve, 60); });
      if (k > 5 * ${ZOOMS}) throw new Error('the view did not move');
    }
    return times;
  })()`);
}

const COUNT_FRAMES = `(async () => {
  const began = performance.now();
  let count = 0;
  while (performance.now() - began < 3000) { await new Promise(requestAnimationFrame); count++; }
  return (1000 * count) / (performance.now() - began);
})()`;

/** Frames per second while the replay runs over a stretch of ten minutes, lanes and map on the screen. */
function replayRate(page: Page): Promise<number> {
  return page.evaluate(`(async () => {
    const press = (key) => document.querySelector('figure[data-lane=speeds]').dispatchEvent(new KeyboardEvent('keydown', { key, bubbles: true, cancelable: true }));
    press('0');
    for (let k = 0; k < 3; k++) press('+');
    await new Promise((resolve) => { setTimeout(resolve, 800); });
    press(' ');
    await new Promise(requestAnimationFrame);
    const began = performance.now();
    const marker = document.querySelector('.map-frame').dataset.marker;
    let count = 0;
    while (performance.now() - began < ${REPLAY_SECONDS * 1000}) { await new Promise(requestAnimationFrame); count++; }
    const took = (performance.now() - began) / 1000;
    press(' ');
    if (document.querySelector('.map-frame').dataset.marker === marker) throw new Error('the marker did not move');
    return count / took;
  })()`);
}

function quantile(values: readonly number[], share: number): number {
  const sorted = values.toSorted((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.ceil(share * sorted.length) - 1)] ?? Number.NaN;
}
