import path from 'node:path';
import type { Browser, Locator, Page } from 'playwright-core';
import type { DayState, DayView } from '../../shared/api.ts';
import type { RunningServer } from '../../server/main.ts';
import { launchBrowser } from './browser.ts';

const ROOT = path.resolve(import.meta.dirname, '../..');

/** The sample day on a running server, and a browser page to look at it. */
export interface SampleDay {
  readonly browser: Browser;
  readonly page: Page;
  readonly base: string;
  readonly id: string;
  readonly view: () => Promise<DayView>;
  /** A fresh load of the day's lanes with further words in the address. */
  readonly open: (words?: Readonly<Record<string, string>>, on?: Page) => Promise<void>;
  /** What the address says now. */
  readonly words: () => URLSearchParams;
  readonly number: (key: string) => number;
  /** An expression in the page; as text, because tests are built without the browser's types. */
  readonly inPage: <T>(expression: string, on?: Page) => Promise<T>;
  readonly plotBox: (locator?: Locator) => Promise<{ x: number; y: number; width: number; height: number }>;
  /** Requests beyond this computer, and what the console complained of. */
  readonly outside: readonly string[];
  readonly complaints: readonly string[];
  readonly close: () => Promise<void>;
}

/** Asks until it is so; the page's own policy forbids playwright's way of waiting for an expression. */
export async function until(holds: () => Promise<boolean>): Promise<void> {
  for (let tries = 0; tries < 400; tries++) {
    if (await holds()) return;
    await new Promise((resolve) => { setTimeout(resolve, 50); });
  }
  throw new Error('it never came to be');
}

export async function openSampleDay(): Promise<SampleDay> {
  const { startServer } = (await import(path.join(ROOT, 'dist/server/main.js'))) as { startServer: (options: object) => Promise<RunningServer> };
  const server = await startServer({ port: 0, sample: true, logs: [], files: {}, units: 'metric' });
  const browser = await launchBrowser();
  const page = await (await browser.newContext({ viewport: { width: 1366, height: 900 } })).newPage();
  const outside: string[] = [];
  const complaints: string[] = [];
  page.on('request', (request) => { if (!request.url().startsWith('http://127.0.0.1:') && !request.url().startsWith('data:') && request.url() !== 'about:blank') outside.push(request.url()); });
  page.on('console', (message) => { if (message.type() !== 'info' && message.type() !== 'log') complaints.push(message.text()); });
  page.on('pageerror', (error) => complaints.push(error.message));

  const base = new URL('/', server.address).href;
  const id = new URLSearchParams(new URL(server.address).hash.slice(1)).get('day') ?? '';
  const state = async (): Promise<DayState> => (await (await fetch(`${base}api/days/${id}`)).json()) as DayState;
  while (['reading', 'judging'].includes((await state()).status)) await new Promise((resolve) => { setTimeout(resolve, 200); });

  const words = (): URLSearchParams => new URLSearchParams(new URL(page.url()).hash.slice(1));
  return {
    browser, page, base, id, words, outside, complaints,
    number: (key) => Number(words().get(key) ?? Number.NaN),
    view: async () => {
      const now = await state();
      if (now.status !== 'ready') throw new Error(`the day is ${now.status}`);
      return now.view;
    },
    open: async (more = {}, on = page) => {
      await on.goto('about:blank');
      await on.goto(`${base}#${new URLSearchParams({ day: id, reading: 'day', ...more })}`);
      await on.locator('.lane-plot .u-over').first().waitFor();
      await on.locator('figure[data-lane=runs] canvas').waitFor();
      await until(() => on.evaluate("/^[^u]+$/.test(document.querySelector('.day-lanes').dataset.fresh ?? 'u')"));
    },
    inPage: (expression, on = page) => on.evaluate(expression),
    plotBox: async (locator = page.locator('figure[data-lane=speeds] .u-over')) => {
      await locator.scrollIntoViewIfNeeded();
      const box = await locator.boundingBox();
      if (box === null) throw new Error('the plot has no place');
      return box;
    },
    close: async () => {
      await browser.close();
      await server.stop();
    },
  };
}
