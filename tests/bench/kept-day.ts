import type { Browser } from 'playwright-core';
import type { KeptDays } from '../../shared/case.ts';
import { startServer } from '../../server/main.ts';

export interface KeptPictures {
  /** ms from the click on a kept day to the verdict and the findings. */
  readonly findings: number;
  /** ms from the click to the story of the day, and to the lines of its lanes. */
  readonly story: number;
  readonly lines: number;
}

const TIMES = 3;

/** Keeps the day that a server holds, then opens it from the start page of another server that never saw its logs; the median of a few. */
export async function keptPictures(browser: Browser, holding: URL, day: string, store: string): Promise<KeptPictures> {
  const kept = await fetch(new URL(`api/days/${day}/keep`, holding), { method: 'POST', headers: { 'x-sowtrace': '1', 'content-type': 'application/json' }, body: '{}' });
  if (kept.status !== 201) throw new Error(`the day was not kept: ${await kept.text()}`);
  const server = await startServer({ port: 0, logs: [], files: {}, units: 'metric', store });
  const page = await browser.newPage({ viewport: { width: 1366, height: 900 } });
  try {
    const { cases } = (await (await fetch(new URL('api/cases', server.address))).json()) as KeptDays;
    if (cases.length !== 1) throw new Error(`${cases.length} days are kept`);
    const all: KeptPictures[] = [];
    for (let n = 0; n < TIMES; n++) {
      await page.goto('about:blank');
      await page.goto(server.address);
      await page.locator('.kept button').first().waitFor();
      /* a moment to choose */
      await page.waitForTimeout(4000);
      const findings = await page.evaluate<number>(`(async () => {
        const began = performance.now();
        document.querySelector('.kept button').click();
        while (document.querySelector('.verdict') === null) await new Promise(requestAnimationFrame);
        await new Promise(requestAnimationFrame);
        return performance.now() - began;
      })()`);
      await page.goto('about:blank');
      await page.goto(server.address);
      await page.locator('.kept button').first().waitFor();
      await page.waitForTimeout(4000);
      const [story, lines] = await page.evaluate<[number, number]>(`(async () => {
        const began = performance.now();
        const frame = () => new Promise(requestAnimationFrame);
        document.querySelector('.kept button').click();
        while (!location.hash.includes('day=')) await frame();
        location.hash = location.hash.replace('reading=fix', 'reading=day');
        while (document.querySelector('[data-lane=story] canvas') === null) await frame();
        await frame();
        const story = performance.now() - began;
        while (!document.querySelector('.density')?.textContent) await frame();
        await frame();
        return [story, performance.now() - began];
      })()`);
      all.push({ findings, story, lines });
    }
    const middle = (of: (each: KeptPictures) => number): number => all.map(of).toSorted((a, b) => a - b)[TIMES >> 1] as number;
    return { findings: middle((each) => each.findings), story: middle((each) => each.story), lines: middle((each) => each.lines) };
  } finally {
    await page.close();
    await server.stop();
  }
}
