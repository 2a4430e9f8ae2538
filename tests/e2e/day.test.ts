import type { Page } from 'playwright-core';
import { afterAll, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import type { DayView } from '../../shared/api.ts';
import { openSampleDay, until, type SampleDay } from './sample-day.ts';

/* The lanes of the shipped sample in a real browser: what is seen must be what the server holds. */

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

async function drag(from: number, to: number, keys: { readonly shift?: boolean; readonly button?: 'left' | 'middle' } = {}): Promise<void> {
  const box = await sample.plotBox();
  if (keys.shift === true) await page.keyboard.down('Shift');
  await page.mouse.move(box.x + box.width * from, box.y + box.height / 2);
  await page.mouse.down({ button: keys.button ?? 'left' });
  await page.mouse.move(box.x + box.width * to, box.y + box.height / 2, { steps: 6 });
  await page.mouse.up({ button: keys.button ?? 'left' });
  if (keys.shift === true) await page.keyboard.up('Shift');
}

describe('looking closer and back', () => {
  test('dragging zooms to what was dragged over, within a pixel or two', async () => {
    await drag(0.25, 0.5);
    await expect.poll(() => sample.words().has('from')).toBe(true);
    expect(Math.abs(sample.number('from') - 0.25 * day.duration)).toBeLessThan(0.004 * day.duration);
    expect(Math.abs(sample.number('to') - 0.5 * day.duration)).toBeLessThan(0.004 * day.duration);
  });

  test('every zoom is undone by Backspace, back to the very range it came from', async () => {
    await page.locator('figure[data-lane=speeds]').focus();
    const seen: string[] = [];
    for (let k = 0; k < 5; k++) {
      seen.push(page.url());
      await page.keyboard.press('+');
      await expect.poll(() => page.url()).not.toBe(seen.at(-1));
    }
    for (const before of seen.toReversed()) {
      await page.keyboard.press('Backspace');
      await expect.poll(() => page.url()).toBe(before);
    }
    expect(sample.words().has('from')).toBe(false);
  });

  test('keys faster than the address line: every zoom is a step of its own to go back to, and another reading comes after it', async () => {
    await sample.open();
    const whole = page.url();
    const zoomed = await sample.inPage<readonly string[]>(`(async () => {
      const lane = document.querySelector('figure[data-lane=speeds]');
      const press = (key) => lane.dispatchEvent(new KeyboardEvent('keydown', { key, bubbles: true, cancelable: true }));
      const written = () => new Promise((resolve) => { setTimeout(resolve, 400); });
      press('+');
      press('+');
      await written();
      const twice = location.hash;
      press('Backspace');
      await written();
      const once = location.hash;
      press('+');
      [...document.querySelectorAll('.readings button')].find((button) => button.textContent.startsWith('The rates')).click();
      await written();
      return [twice, once, location.hash];
    })()`);
    const [twice = '', once = '', elsewhere = ''] = zoomed.map((hash) => Number(new URLSearchParams(hash.slice(1)).get('to')) - Number(new URLSearchParams(hash.slice(1)).get('from')));
    expect(once).toBeCloseTo(2 * Number(twice), 1);
    expect(elsewhere).toBeCloseTo(Number(twice), 1);
    expect(page.url()).toContain('reading=rates');
    await page.goBack();
    await expect.poll(() => sample.number('to') - sample.number('from')).toBeCloseTo(Number(twice), 1);
    expect(sample.words().get('reading')).toBe('day');
    await page.goBack();
    await expect.poll(() => sample.number('to') - sample.number('from')).toBeCloseTo(Number(once), 1);
    await page.goBack();
    await expect.poll(() => page.url()).toBe(whole);
  });

  test('Ctrl and wheel zoom about the pointer; a plain wheel scrolls the page and changes nothing', async () => {
    await sample.open({ from: '200', to: '1000' });
    const box = await sample.plotBox();
    const x = box.x + box.width * 0.3;
    const under = (): number => sample.number('from') + ((x - box.x) / box.width) * (sample.number('to') - sample.number('from'));
    const before = under();
    await page.mouse.move(x, box.y + 20);
    await page.mouse.wheel(0, 60);
    await page.waitForTimeout(400);
    expect(sample.number('from')).toBe(200);
    await page.keyboard.down('Control');
    await page.mouse.wheel(0, -60);
    await page.mouse.wheel(0, -60);
    await page.keyboard.up('Control');
    await expect.poll(() => sample.number('to') - sample.number('from')).toBeLessThan(700);
    expect(Math.abs(under() - before)).toBeLessThan((1.5 * 800) / box.width);
  });

  test('Shift and drag, middle drag and Shift with arrows move along; the ends of the day hold', async () => {
    await sample.open({ from: '400', to: '800' });
    await drag(0.7, 0.45, { shift: true });
    await expect.poll(() => sample.number('from')).toBeGreaterThan(490);
    expect(sample.number('to') - sample.number('from')).toBeCloseTo(400, 1);
    await drag(0.45, 0.7, { button: 'middle' });
    await expect.poll(() => sample.number('from')).toBeLessThan(410);
    await page.locator('figure[data-lane=fans]').focus();
    for (let k = 0; k < 8; k++) await page.keyboard.press('Shift+ArrowLeft');
    await expect.poll(() => sample.number('from')).toBe(0);
    expect(sample.number('to')).toBeCloseTo(400, 1);
  });

  test('what is drawn after a move is, to the pixel, what plots made anew from the same data draw', async () => {
    const drawn = async (): Promise<readonly string[]> => page.evaluate("[...document.querySelectorAll('.lane-plot canvas, canvas.runs')].map((canvas) => canvas.toDataURL())");
    const settled = async (): Promise<readonly string[]> => {
      await page.waitForTimeout(700);
      return drawn();
    };
    const byKey = (key: string) => async (): Promise<void> => {
      await page.locator('figure[data-lane=fans]').focus();
      await page.keyboard.press(key);
    };
    /* Held, not let go: fresh data come for a range that is drawn already. */
    const hold = async (): Promise<void> => {
      const box = await sample.plotBox();
      await page.keyboard.down('Shift');
      await page.mouse.move(box.x + box.width * 0.8, box.y + box.height / 2);
      await page.mouse.down();
      await page.mouse.move(box.x + box.width * 0.2, box.y + box.height / 2, { steps: 3 });
    };
    const letGo = async (): Promise<void> => {
      await page.mouse.up();
      await page.keyboard.up('Shift');
      await byKey('+')();
    };
    await sample.open({ from: '400', to: '800' });
    let before = await settled();
    for (const move of [hold, letGo, byKey('Shift+ArrowRight'), byKey('-')]) {
      await move();
      const moved = await settled();
      expect(moved.length).toBeGreaterThan(3);
      expect(moved).not.toEqual(before);
      /* Another theme and back: every plot is made anew. */
      for (const colorScheme of ['dark', 'light'] as const) {
        await page.emulateMedia({ colorScheme });
        await page.waitForTimeout(300);
      }
      expect((await drawn()).map((picture, k) => picture === moved[k])).toEqual(moved.map(() => true));
      before = moved;
    }
  });

  test('0 and a double click show the whole day', async () => {
    await sample.open({ from: '400', to: '800' });
    await page.locator('figure[data-lane=fans]').focus();
    await page.keyboard.press('0');
    await expect.poll(() => sample.words().has('from')).toBe(false);
    await page.goBack();
    const box = await sample.plotBox();
    await page.mouse.dblclick(box.x + 200, box.y + 30);
    await expect.poll(() => sample.words().has('from')).toBe(false);
  });

  test('start and end can be typed in the zone of the axis; nonsense is answered in words', async () => {
    const clock = (at: number): string => new Date((day.start + at) * 1000).toISOString().slice(11, 19);
    await page.getByLabel('from', { exact: true }).fill(clock(300));
    await page.getByLabel('from', { exact: true }).press('Enter');
    await expect.poll(() => sample.number('from')).toBeCloseTo(300, -1);
    await page.getByLabel('to', { exact: true }).fill('tomorrow');
    await page.getByLabel('to', { exact: true }).press('Enter');
    expect(await page.locator('.range-bar [role=alert]').innerText()).toMatch(/no time between \d\d:\d\d:\d\d and \d\d:\d\d:\d\d/);
    expect(await page.locator('.range-bar').innerText()).toContain('UTC');
  });

  test('the small whole day is moved by keys and has a mark per finding behind it', async () => {
    await sample.open({ from: '400', to: '800' });
    const brush = page.getByRole('slider', { name: 'Stretch in view' });
    await brush.focus();
    await page.keyboard.press('Shift+ArrowRight');
    await expect.poll(() => sample.number('from')).toBeCloseTo(400 + 0.1 * day.duration, 0);
    await page.getByRole('slider', { name: 'End of the view' }).focus();
    await page.keyboard.press('ArrowLeft');
    await expect.poll(() => sample.number('to') - sample.number('from')).toBeCloseTo(400 - 0.01 * day.duration, 0);
    await page.getByRole('button', { name: 'Whole day' }).click();
    expect(await page.locator('.finding-bar').count()).toBe(day.findings.length);
  });
});

describe('what is drawn is said honestly', () => {
  test('blocks are called blocks exactly when the server sends blocks', async () => {
    const density = page.locator('figure[data-lane=speeds] .density');
    const kindOver = async (from: number, to: number): Promise<number> => {
      const speed = day.channels.find(({ id }) => id === 'gnss.speed');
      const answer = await fetch(`${sample.base}api/days/${sample.id}/channels/${speed?.index}?from=${from}&to=${to}&columns=700`);
      return new Float64Array(await answer.arrayBuffer(), 0, 1)[0] ?? 0;
    };
    expect(await kindOver(0, day.duration)).toBe(1);
    expect(await density.innerText()).toMatch(/^least and most of [\d.]+ samples per pixel$/);
    await sample.open({ from: '600', to: '660' });
    expect(await kindOver(600, 660)).toBe(2);
    expect(await density.innerText()).toBe('every sample');
  });

  test('the read-out shows the store\'s values at the cursor', async () => {
    await sample.open({ from: '500', to: '900' });
    const box = await sample.plotBox();
    await page.mouse.click(box.x + box.width * 0.62, box.y + 30);
    await expect.poll(() => sample.words().has('at')).toBe(true);
    await page.mouse.move(5, 5);
    await until(() => sample.inPage("document.querySelector('.read-out dl')?.dataset.source === 'exact'"));
    const shown = await sample.inPage<[number, string][]>("[...document.querySelectorAll('.read-out dd')].map((place) => [Number(place.dataset.channel), place.textContent])");
    expect(shown.length).toBeGreaterThanOrEqual(4);
    const reply = await fetch(`${sample.base}api/days/${sample.id}/values?channels=${shown.map(([channel]) => channel).join(',')}&at=${sample.number('at')}`);
    const { values } = (await reply.json()) as { values: (number | null)[] };
    const perUnit: Readonly<Record<string, number>> = { 'm/s': 3.6, 'rpm': 1, 'kg': 1 };
    /* half of the last digit shown */
    const tolerance: Readonly<Record<string, number>> = { 'm/s': 0.051, 'rpm': 0.51, 'kg': 0.51 };
    const wrong = shown.filter(([channel, text], k) => {
      const unit = day.channels[channel]?.unit ?? '';
      const value = values[k] ?? undefined;
      const read = Number.parseFloat(text.replaceAll(',', '').replace('−', '-'));
      return value === undefined ? text !== '–' : !(Math.abs(read - value * (perUnit[unit] ?? Number.NaN)) <= (tolerance[unit] ?? 0));
    });
    expect(wrong).toEqual([]);
  });

  test('a cursor put elsewhere fetches no lanes, for the range is the same', async () => {
    await sample.open({ from: '200', to: '1000' });
    await page.waitForTimeout(800);
    const asked: string[] = [];
    const listen = (request: { url: () => string }): void => { if (request.url().includes('/lanes?')) asked.push(request.url()); };
    page.on('request', listen);
    await page.locator('figure[data-lane=speeds]').focus();
    for (let k = 0; k < 3; k++) await page.keyboard.press('ArrowRight');
    await expect.poll(() => sample.words().has('at')).toBe(true);
    await page.waitForTimeout(400);
    expect(asked).toEqual([]);
    await page.keyboard.press('+');
    await expect.poll(() => asked.length).toBeGreaterThan(0);
    page.off('request', listen);
  });

  test('one cursor goes through all lanes', async () => {
    const box = await sample.plotBox();
    await page.mouse.move(box.x + box.width * 0.4, box.y + 20);
    const [line, stage] = [page.locator('.cursor-line'), page.locator('.stage')];
    const [lineBox, stageBox] = [await line.boundingBox(), await stage.boundingBox()];
    expect(Math.abs((lineBox?.x ?? 0) - (box.x + box.width * 0.4))).toBeLessThan(1.5);
    expect(lineBox?.height).toBeCloseTo(stageBox?.height ?? 0, 0);
  });
});

describe('the runs as one picture', () => {
  test('the blocked run stands out, its mates do not', async () => {
    const finding = day.findings.find(({ code }) => code === 'run.blocked');
    if (finding === undefined) throw new Error('the sample has its blocked run');
    await sample.open({ from: String(finding.span.start + 20), to: String(finding.span.end - 5) });
    await page.locator('figure[data-lane=runs] .behind summary').click();
    const cells = async (): Promise<string[][]> => page.locator('figure[data-lane=runs] tbody tr').evaluateAll((rows) => rows.map((row) => [...row.children].map((cell) => cell.textContent ?? '')));
    await page.getByRole('button', { name: 'Rows after' }).click();
    const rows = await cells();
    const run = finding.subject.replace('run.', '');
    expect(Number(rows.find(([its]) => its === run)?.[2])).toBeLessThan(0.2);
    const mates = rows.filter(([its, tower]) => tower === 'E' && its !== run).map((row) => Number(row[2]));
    expect(mates.length).toBeGreaterThan(3);
    for (const ratio of mates) expect(Math.abs(ratio - 1)).toBeLessThan(0.12);
  });

  test('a run is chosen by keys, added as a lane, set aside and taken back; the page says that it judged again', async () => {
    await page.locator('figure[data-lane=runs]').focus();
    for (let k = 0; k < 3; k++) await page.keyboard.press('ArrowDown');
    const chosen = page.locator('figure[data-lane=runs] .chosen');
    await chosen.waitFor();
    const run = /Run (\d+)/.exec(await chosen.innerText())?.[1] ?? '';
    await chosen.getByRole('button', { name: 'Add as a lane' }).click();
    await expect.poll(() => sample.words().get('channels')).toBe(`run.${run}.count`);
    await page.locator(`figure[data-lane="channel-run.${run}.count"] .u-over`).waitFor();
    await chosen.getByRole('button', { name: 'Set this sensor aside' }).click();
    await expect.poll(async () => page.locator('[data-lane=runs] [role=status]').innerText(), { timeout: 30_000 }).toMatch(new RegExp(`Judged again without run ${run}`));
    expect(JSON.parse((await sample.view()).setup ?? '{}')).toMatchObject({ machine: { setAside: [`run.${run}`] } });
    await expect.poll(() => chosen.innerText()).toContain('set aside: shown, not judged');
    await chosen.getByRole('button', { name: /Take back/ }).click();
    await expect.poll(async () => page.locator('[data-lane=runs] [role=status]').innerText(), { timeout: 30_000 }).toMatch(/Judged again with run/);
    expect((await sample.view()).findings.map(({ id }) => id)).toEqual(day.findings.map(({ id }) => id));
  });

  test('setting the blocked run aside takes its finding away', async () => {
    const finding = day.findings.find(({ code }) => code === 'run.blocked');
    const run = Number(finding?.subject.replace('run.', ''));
    await page.locator('figure[data-lane=runs]').focus();
    for (let k = 0; k < run; k++) await page.keyboard.press('ArrowDown');
    const chosen = page.locator('figure[data-lane=runs] .chosen');
    expect(await chosen.innerText()).toContain(`Run ${run}`);
    await chosen.getByRole('button', { name: 'Set this sensor aside' }).click();
    await expect.poll(async () => (await sample.view()).findings.some(({ id }) => id === finding?.id), { timeout: 30_000 }).toBe(false);
    await chosen.getByRole('button', { name: /Take back/ }).click();
    await expect.poll(async () => (await sample.view()).findings.some(({ id }) => id === finding?.id), { timeout: 30_000 }).toBe(true);
  });
});

test('no outside request, no policy violation, no error in the console', () => {
  expect(sample.outside).toEqual([]);
  expect(sample.complaints).toEqual([]);
});
