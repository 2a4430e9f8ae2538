import path from 'node:path';
import axe from 'axe-core';
import type { Browser, BrowserContextOptions, Page } from 'playwright-core';
import type { RunningServer } from '../../server/main.ts';
import { launchBrowser } from './browser.ts';

const ROOT = path.resolve(import.meta.dirname, '../..');
export const SAMPLE = path.join(ROOT, 'sample-logs/mud-in-opener');
export const CLEAN = path.join(ROOT, 'sample-logs/clean-morning');

/** The built viewer, served as built, with a browser that keeps account of what must not happen. */
export interface ViewerStage {
  readonly server: RunningServer;
  readonly base: string;
  readonly browser: Browser;
  readonly newPage: (options?: BrowserContextOptions) => Promise<Page>;
  /** Requests to anywhere but this server. */
  readonly outside: readonly string[];
  /** Errors and warnings of the console, errors of scripts, breaches of the content policy. */
  readonly complaints: readonly string[];
  readonly close: () => Promise<void>;
}

export async function stageViewer(options: { readonly sample: boolean; readonly store?: string }): Promise<ViewerStage> {
  const { startServer } = (await import(path.join(ROOT, 'dist/server/main.js'))) as { startServer: (options: object) => Promise<RunningServer> };
  const server = await startServer({ port: 0, logs: [], files: {}, units: 'metric', ...options });
  const base = `${new URL(server.address).origin}/`;
  const browser = await launchBrowser();
  const outside: string[] = [];
  const complaints: string[] = [];
  return {
    server, base, browser, outside, complaints,
    newPage: async (context = {}) => {
      const page = await (await browser.newContext({ viewport: { width: 1366, height: 900 }, ...context })).newPage();
      page.on('request', (request) => { if (!request.url().startsWith(base) && !/^(?:data|blob|about):/.test(request.url())) outside.push(request.url()); });
      page.on('console', (message) => {
        /* The browser itself notes every answer that is no success; those are expected where a test asks for them. */
        if (message.type() !== 'info' && message.type() !== 'log' && !message.text().startsWith('Failed to load resource')) complaints.push(message.text());
      });
      page.on('pageerror', (error) => complaints.push(error.message));
      page.on('dialog', (dialog) => {
        complaints.push(`dialog: ${dialog.message()}`);
        void dialog.dismiss();
      });
      await page.addInitScript("addEventListener('securitypolicyviolation', (event) => console.error('policy: ' + event.violatedDirective + ' ' + event.blockedURI))");
      return page;
    },
    close: async () => {
      await browser.close();
      await server.stop();
    },
  };
}

/** What axe finds against WCAG 2.2 AA, each with the element it found it on. */
export async function axeFaults(page: Page): Promise<readonly string[]> {
  await page.evaluate(axe.source);
  const result = await page.evaluate(async () => (globalThis as unknown as { axe: typeof axe }).axe.run({ runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'] }));
  return result.violations.flatMap((violation) => violation.nodes.map((node) => `${violation.id}: ${node.html.slice(0, 160)} ${node.failureSummary ?? ''}`));
}

/** Drops files or folders of this computer on the middle of the page, as a hand would. */
export async function dropOn(page: Page, files: readonly string[]): Promise<void> {
  const session = await page.context().newCDPSession(page);
  const data = { items: [], files: [...files], dragOperationsMask: 1 };
  for (const type of ['dragEnter', 'dragOver', 'drop'] as const) await session.send('Input.dispatchDragEvent', { type, x: 150, y: 300, data });
  await session.detach();
}

/** Controls whose target is smaller than 24 × 24 px and not part of a line of text (WCAG 2.5.8). */
export const SMALL_TARGETS = `[...document.querySelectorAll('button, select, input:not([hidden]), summary, textarea, a[href]')].filter((element) => {
  const box = element.getBoundingClientRect();
  return box.width > 0 && box.height > 0 && !element.classList.contains('skip') && (box.width < 24 || box.height < 24) && element.closest('label') === null;
}).map((element) => element.outerHTML.slice(0, 120))`;

/** Elements that reach beyond the right edge of the page without scrolling on their own. */
export const SIDEWAYS = `document.documentElement.scrollWidth - document.documentElement.clientWidth`;
