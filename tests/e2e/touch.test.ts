import type { CDPSession, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { openSampleDay, type SampleDay } from './sample-day.ts';

/* Fingers on the lanes, on a screen of a phone's size. */

let sample: SampleDay;
let page: Page;
let fingers: CDPSession;

beforeAll(async () => {
  sample = await openSampleDay();
  page = await (await sample.browser.newContext({ viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true })).newPage();
  fingers = await page.context().newCDPSession(page);
});
afterAll(async () => {
  await sample.close();
});

type Place = readonly [share: number, down: number];

/** Puts fingers down on the speeds' plot, moves each from its first to its last place (shares of the width, pixels down), lifts them. */
async function touch(...paths: readonly (readonly [Place, Place])[]): Promise<void> {
  const box = await sample.plotBox(page.locator('figure[data-lane=speeds] .u-over'));
  const points = (share: number): { readonly x: number; readonly y: number; readonly id: number }[] =>
    paths.map(([[fromX, fromY], [toX, toY]], id) => ({ id, x: box.x + box.width * (fromX + (toX - fromX) * share), y: box.y + 20 + fromY + (toY - fromY) * share }));
  /* One after the other, as hands do it. */
  for (let n = 1; n <= paths.length; n++) await fingers.send('Input.dispatchTouchEvent', { type: 'touchStart', touchPoints: points(0).slice(0, n) });
  for (let k = 1; k <= 8; k++) await fingers.send('Input.dispatchTouchEvent', { type: 'touchMove', touchPoints: points(k / 8) });
  await fingers.send('Input.dispatchTouchEvent', { type: 'touchEnd', touchPoints: [] });
}

const number = (key: string): number => Number(new URLSearchParams(new URL(page.url()).hash.slice(1)).get(key) ?? Number.NaN);

test('two fingers spread apart look closer, and the times under them stay under them', async () => {
  await sample.open({ from: '200', to: '1000' }, page);
  await touch([[0.4, 0], [0.2, 0]], [[0.6, 0], [0.8, 0]]);
  /* 0.2 of 800 s under 0.6 of the width. */
  await expect.poll(() => number('to') - number('from')).toBeLessThan(300);
  expect(Math.abs(number('to') - number('from') - (0.2 * 800) / 0.6)).toBeLessThan(15);
  expect(Math.abs((number('from') + number('to')) / 2 - 600)).toBeLessThan(10);
});

test('two fingers brought together look wider', async () => {
  await sample.open({ from: '500', to: '700' }, page);
  await touch([[0.1, 0], [0.4, 0]], [[0.9, 0], [0.6, 0]]);
  await expect.poll(() => number('to') - number('from')).toBeGreaterThan(600);
});

test('one finger moves along; a tap places the cursor', async () => {
  await sample.open({ from: '400', to: '800' }, page);
  await touch([[0.7, 0], [0.4, 0]]);
  await expect.poll(() => number('from')).toBeGreaterThan(480);
  expect(number('to') - number('from')).toBeCloseTo(400, 0);
  await touch([[0.5, 0], [0.5, 0]]);
  await expect.poll(() => number('at')).toBeGreaterThan(number('from') + 150);
  expect(number('at')).toBeLessThan(number('from') + 250);
});

test('a finger up or down scrolls the page and leaves the view as it is', async () => {
  await sample.open({ from: '400', to: '800' }, page);
  const before = await page.evaluate<number>('scrollY');
  const box = await sample.plotBox(page.locator('figure[data-lane=speeds] .u-over'));
  await fingers.send('Input.synthesizeScrollGesture', { x: box.x + box.width / 2, y: box.y + 20, yDistance: -300, gestureSourceType: 'touch' });
  await expect.poll(() => page.evaluate<number>('scrollY')).toBeGreaterThan(before + 150);
  expect([number('from'), number('to')]).toEqual([400, 800]);
});
