import { computed, effect, signal } from '@preact/signals';
import { address, go, goBack, range, view } from '../state.ts';
import type { Range } from './range.ts';

/* Which stretch of the day the lanes show and where the cursor stands. The address keeps both; while a hand moves they run ahead of it. */

/** s; closer than this there is nothing more to see. */
const SHORTEST = 0.5;

/** The range under a moving hand; undefined at rest. */
const moving = signal<Range | undefined>(undefined);
export const shownRange = computed<Range>(() => moving.value ?? range.value);

/** Where the cursor was put, or where the replay stands. */
export const pinned = signal<number | undefined>(undefined);
export const hovered = signal<number | undefined>(undefined);
export const isPlaying = signal(false);
export const cursor = computed<number | undefined>(() => (isPlaying.value ? pinned.value : hovered.value ?? pinned.value));

/** ms that pictures wait for the data of a new range before they are drawn with what there is. */
const PATIENCE = 120;

/** The range pictures of data follow: a moving hand and the replay at once; after a jump only when fresh data are late, for drawing twice would make them later. */
export const drawnRange = signal<Range>(shownRange.peek());
let late = 0;

effect(() => {
  const range = shownRange.value;
  clearTimeout(late);
  if (moving.value !== undefined || isPlaying.peek()) drawnRange.value = range;
  else late = window.setTimeout(() => { drawnRange.value = range; }, PATIENCE);
});

/** All that was asked for the shown range is there. */
export function drawFresh(): void {
  clearTimeout(late);
  drawnRange.value = shownRange.peek();
}

/** Zooms that can be undone by going back. */
export const undoable = signal(0);

const dayLength = (): number => view.value?.duration ?? 1;

/** The range moved and cut so that it lies within the day. */
export function within({ from, to }: Range, length: number): Range {
  const span = Math.min(length, Math.max(SHORTEST, to - from));
  const start = Math.min(length - span, Math.max(0, from));
  return { from: start, to: start + span };
}

export const isWhole = computed(() => drawnRange.value.from <= 0 && drawnRange.value.to >= dayLength());

/** While a hand moves: shows a range without writing the address. */
export function moveRange(wanted: Range): void {
  moving.value = within(wanted, dayLength());
}

/** Shows a range and writes it into the address, so that Back undoes it. */
export function setRange(wanted: Range): void {
  const { from, to } = within(wanted, dayLength());
  const isAll = from <= 0 && to >= dayLength();
  if (go({ from: isAll ? undefined : from, to: isAll ? undefined : to }, 'soon')) undoable.value++;
  moving.value = undefined;
}

export function settleRange(): void {
  if (moving.value !== undefined) setRange(moving.value);
}

export const wholeDay = (): void => setRange({ from: 0, to: dayLength() });

export function undoZoom(): void {
  if (undoable.value > 0) goBack();
}

const zoomed = ({ from, to }: Range, about: number, factor: number): Range => ({ from: about - (about - from) * factor, to: about + (to - about) * factor });

/** `factor` below 1 looks closer; `about` stays where it is on the screen. */
export function zoomAbout(about: number, factor: number): void {
  setRange(zoomed(shownRange.value, about, factor));
}

let settling = 0;
const SETTLE_MILLISECONDS = 250;

/** As `zoomAbout`, for wheels: many small turns are one step to undo. */
export function zoomSoftly(about: number, factor: number): void {
  moveRange(zoomed(shownRange.value, about, factor));
  clearTimeout(settling);
  settling = window.setTimeout(settleRange, SETTLE_MILLISECONDS);
}

/** By a share of the view, negative = earlier. */
export function panBy(share: number): void {
  const { from, to } = shownRange.value;
  setRange({ from: from + (to - from) * share, to: to + (to - from) * share });
}

/** Where zooming by keys and buttons holds: the cursor if in view, else the middle. */
export function zoomCentre(): number {
  const { from, to } = shownRange.value;
  const at = cursor.value;
  return at !== undefined && at > from && at < to ? at : (from + to) / 2;
}

/** Puts the cursor there, into view, and into the address. */
export function placeCursor(at: number, how: 'keep' | 'remember' = 'remember'): void {
  pinned.value = Math.min(dayLength(), Math.max(0, at));
  hovered.value = undefined;
  if (how === 'remember') go({ at: pinned.value }, 'replace');
}

/** Moves the range along when the cursor leaves it. */
export function keepInView(at: number): void {
  const { from, to } = shownRange.value;
  if (at >= from && at <= to) return;
  const span = to - from;
  const start = at < from ? at - 0.9 * span : at - 0.1 * span;
  const next = within({ from: start, to: start + span }, dayLength());
  go(next, 'replace');
}

addEventListener('popstate', () => { undoable.value = Math.max(0, undoable.value - 1); });
/* The address leads: a link, Back and Forward put the cursor where they say. */
effect(() => {
  const { at } = address.value;
  if (!isPlaying.peek()) pinned.value = at;
});
