import { signal } from '@preact/signals';
import { isPlaying, keepInView, pinned, placeCursor, shownRange } from '../../plot/time-view.ts';
import { view } from '../../state.ts';

/** Times as fast as it happened. */
export const SPEEDS = [1, 2, 5, 10, 30, 60, 120, 300, 600] as const;
export const speed = signal<number>(60);

/** ms between pictures where the reader asked for less motion. */
const CALM_STEP = 500;

let request = 0;
/** Where the replay stood (s) and when that was (ms of the page's clock). */
let stood = { at: 0, when: 0 };

const whereNow = (when: number): number => stood.at + (Math.max(0, when - stood.when) / 1000) * speed.peek();

/** Starts where the cursor stands; from the start of the view when it stands nowhere or at the end. Never starts by itself. */
export function play(): void {
  const end = view.value?.duration ?? 0;
  const at = pinned.peek();
  const { from } = shownRange.peek();
  const start = at === undefined || at >= end ? (from < end ? from : 0) : at;
  const isCalm = matchMedia('(prefers-reduced-motion: reduce)').matches;
  stood = { at: start, when: performance.now() };
  let shown = stood.when;
  pinned.value = start;
  isPlaying.value = true;
  const step = (when: number): void => {
    if (!isPlaying.peek()) return;
    request = requestAnimationFrame(step);
    /* put elsewhere by hand meanwhile: it goes on from there */
    const isMoved = pinned.peek() !== stood.at;
    if (isMoved) stood = { at: pinned.peek() ?? 0, when };
    else if (isCalm && when - shown < CALM_STEP) return;
    shown = when;
    stood = { at: Math.min(end, whereNow(when)), when: Math.max(when, stood.when) };
    pinned.value = stood.at;
    keepInView(stood.at);
    if (stood.at >= end) pause();
  };
  request = requestAnimationFrame(step);
}

export function pause(): void {
  cancelAnimationFrame(request);
  if (!isPlaying.peek()) return;
  const end = view.peek()?.duration ?? 0;
  /* to the instant, however long ago the last frame was drawn */
  const at = pinned.peek() === stood.at ? Math.min(end, whereNow(performance.now())) : pinned.peek() ?? 0;
  isPlaying.value = false;
  placeCursor(at);
  keepInView(at);
}

export const playOrPause = (): void => (isPlaying.peek() ? pause() : play());
