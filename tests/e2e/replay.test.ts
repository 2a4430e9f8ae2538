import axe from 'axe-core';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import type { DayView } from '../../shared/api.ts';
import { openSampleDay, type SampleDay } from './sample-day.ts';

/* Replay, map, rates and what everybody needs, on the shipped sample in a real browser. */

let sample: SampleDay;
let page: Page;
let day: DayView;

beforeAll(async () => {
  sample = await openSampleDay();
  ({ page } = sample);
  day = await sample.view();
});
afterAll(async () => {
  await sample.close();
});
beforeEach(async () => {
  await sample.open();
});

async function accessibilityFaults(): Promise<readonly string[]> {
  await page.evaluate(axe.source);
  const result = await page.evaluate(async () => (globalThis as unknown as { axe: typeof axe }).axe.run({ runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'] }));
  return result.violations.flatMap((violation) => violation.nodes.map((node) => `${violation.id}: ${node.html.slice(0, 160)}`));
}

describe('replay', () => {
  test('60 s at 60× take a second, by the keyboard alone; it starts only when told', async () => {
    await sample.open({ at: '300' });
    await page.waitForTimeout(400);
    expect(sample.number('at')).toBe(300);
    await page.locator('figure[data-lane=speeds]').focus();
    const [seconds, passed] = await sample.inPage<[number, number]>(`(async () => {
      const space = () => document.activeElement.dispatchEvent(new KeyboardEvent('keydown', { key: ' ', bubbles: true, cancelable: true }));
      const began = performance.now();
      space();
      await new Promise((resolve) => { setTimeout(resolve, 1000); });
      const seconds = (performance.now() - began) / 1000;
      space();
      return [seconds, Number(new URLSearchParams(location.hash.slice(1)).get('at')) - 300];
    })()`);
    expect(passed / 60).toBeGreaterThan(seconds - 0.2);
    expect(passed / 60).toBeLessThan(seconds + 0.2);
    expect(await page.getByRole('button', { name: 'Play' }).count()).toBe(1);
  });

  test('cursor, read-out and the marker on the map move together', async () => {
    await sample.open({ at: '600', from: '500', to: '1000' });
    const look = (): Promise<readonly string[]> => sample.inPage("[document.querySelector('.cursor-line').style.transform, document.querySelector('.read-time').textContent, document.querySelector('.map-frame').dataset.marker]");
    await expect.poll(async () => (await look())[2]).toMatch(/^-?[\d.]+ -?[\d.]+$/);
    const before = await look();
    await page.getByRole('button', { name: 'Play' }).click();
    await page.waitForTimeout(600);
    const after = await look();
    await page.getByRole('button', { name: 'Pause' }).click();
    before.forEach((each, k) => expect(after[k]).not.toBe(each));
  });

  test('. and , go from finding to finding; with the keys off they do nothing', async () => {
    await page.locator('figure[data-lane=speeds]').focus();
    await page.keyboard.press('.');
    const first = day.findings.toSorted((a, b) => a.span.start - b.span.start)[0];
    await expect.poll(() => sample.words().get('finding')).toBe(first?.id);
    expect(sample.number('at')).toBeCloseTo(first?.span.start ?? Number.NaN, 2);
    await page.keyboard.press('?');
    await page.getByRole('dialog').getByRole('checkbox').uncheck();
    await sample.open();
    await page.locator('figure[data-lane=speeds]').focus();
    await page.keyboard.press('.');
    await page.waitForTimeout(200);
    expect(sample.words().has('finding')).toBe(false);
    await page.locator('.top').getByRole('button', { name: /Keys/ }).click();
    await page.getByRole('dialog').getByRole('checkbox').check();
  });
});

describe('for everybody', () => {
  test('every picture has a name, is reached by keyboard, reads out at arrow keys and has its table', async () => {
    const pictures = page.locator('.stage figure');
    expect(await pictures.count()).toBeGreaterThanOrEqual(5);
    for (const picture of await pictures.all()) {
      expect(await picture.getAttribute('aria-label')).toMatch(/\w{4}/);
      expect(await picture.getAttribute('tabindex')).toBe('0');
      expect(await picture.locator('details.behind').count()).toBe(1);
      await picture.focus();
      await page.keyboard.press('ArrowRight');
      expect(await page.locator('.day-lanes > [aria-live=polite]').innerText()).toMatch(/^\d\d:\d\d:\d\d: .+ (?:km\/h|rpm|kg|no value)/);
    }
    const map = page.locator('figure.map');
    await map.focus();
    await page.keyboard.press('ArrowRight');
    await expect.poll(async () => map.locator('[aria-live]').innerText()).toMatch(/east,.*north of the middle/);
  });

  test.each([['day', 'light'], ['day', 'dark'], ['rates', 'light'], ['rates', 'dark']] as const)('nothing for axe to find on %s in %s', async (reading, colorScheme) => {
    await page.emulateMedia({ colorScheme });
    if (reading === 'rates') {
      await page.getByRole('button', { name: 'The rates' }).click();
      await page.locator('.rates table').first().waitFor();
    } else {
      await page.locator('.finding-bar').first().click();
      await page.locator('figure[data-lane=runs]').focus();
      await page.keyboard.press('ArrowDown');
      for (const summary of await page.locator('.stage .behind summary').all()) await summary.click();
    }
    expect(await accessibilityFaults()).toEqual([]);
    await page.emulateMedia({ colorScheme: 'light' });
  });

  test.each(['day', 'rates'])('%s fits 320 px without sideways scrolling', async (reading) => {
    await page.setViewportSize({ width: 320, height: 700 });
    if (reading === 'rates') await page.getByRole('button', { name: 'The rates' }).click();
    await page.waitForTimeout(500);
    expect(await sample.inPage<number>('document.documentElement.scrollWidth')).toBeLessThanOrEqual(320);
    const small = await page.locator('main button:visible').evaluateAll((buttons) => buttons.map((button) => button.getBoundingClientRect()).filter(({ width, height }) => width < 24 || height < 24).length);
    expect(small).toBe(0);
    if (reading === 'rates') {
      expect(await page.locator('.product .scroll').evaluateAll((parts) => parts.filter(({ scrollWidth, clientWidth }) => scrollWidth > clientWidth).length)).toBe(0);
      expect(await page.locator('.product td[data-column="95 % interval"]').count()).toBeGreaterThan(3);
      expect(await sample.inPage<string>(`getComputedStyle(document.querySelector('.product td[data-column="95 % interval"]'), '::before').content`)).toContain('95 % interval');
    }
    await page.setViewportSize({ width: 1366, height: 900 });
  });

  test('a link shows the same view in another window', async () => {
    const link = { from: '400', to: '900', at: '700', channels: 'engine.speed', units: 'us', colour: 'gnss.speed' };
    const known = day.channels.some(({ id }) => id === link.channels) ? link : { ...link, channels: 'run.3.count' };
    await sample.open(known);
    const other = await sample.browser.newPage({ viewport: { width: 1366, height: 900 } });
    await sample.open(known, other);
    const look = (on: Page): Promise<unknown> => sample.inPage(`({
      lanes: [...document.querySelectorAll('.lane-head strong')].map((each) => each.textContent),
      values: [...document.querySelectorAll('.read-out dd')].map((each) => each.textContent),
      fields: [...document.querySelectorAll('.range-bar input')].map((each) => each.value),
      cursor: document.querySelector('.cursor-line').style.transform,
      marker: document.querySelector('.map-frame').dataset.marker,
      colour: document.querySelector('.colour-choice select').value,
    })`, on);
    await other.waitForTimeout(600);
    expect(await look(other)).toEqual(await look(page));
    expect(JSON.stringify(await look(other))).toMatch(/mph/);
    await other.close();
  });
});

describe('the rates', () => {
  test('say what went in with an interval, in the reader\'s units, and where it was off', async () => {
    await page.getByRole('button', { name: 'The rates' }).click();
    await page.locator('.routes').first().waitFor();
    const text = await page.locator('.rates').innerText();
    expect(text).toMatch(/kg\/ha went in, .* with 95 % certainty|cannot be told/);
    expect(text).not.toMatch(/undefined|NaN|‹|›/);
    await page.getByLabel('Units').selectOption('us');
    await expect.poll(async () => page.locator('.rates').innerText()).toMatch(/lb\/ac/);
    await page.locator('.rates table button').first().click();
    await page.locator('section.day').waitFor();
    expect(sample.words().get('units')).toBe('us');
    expect(sample.number('to')).toBeGreaterThan(sample.number('from'));
  });
});

test('no outside request, no policy violation, no error in the console', () => {
  expect(sample.outside).toEqual([]);
  expect(sample.complaints).toEqual([]);
});
