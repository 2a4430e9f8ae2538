import { signal } from '@preact/signals';
import { isPlaying, keepInView, pinned, placeCursor, shownRange } from '../../plot/time-view.ts';
import { view } from '../../state.ts';

/** Times as fast as it happened. */
export const SPEEDS = [1, 2, 5, 10, 30, 60, 120, 300, 600] as const;
export const speed = signal<number>(60);

/** Frames drawn and how long they took, since the replay began: what the bench reads. */
export const frames = { count: 0, since: 0 };

/** ms between pictures where the reader asked for less motion. */
const CALM_STEP = 500;

let request = 0;

/** Starts where the cursor stands; from the start of the view when it stands nowhere or at the end. Never starts by itself. */
export function play(): void {
  const end = view.value?.duration ?? 0;
  const at = pinned.peek();
  const { from, to } = shownRange.peek();
  const start = at === undefined || at >= end ? (from < end ? from : 0) : at;
  pinned.value = at !== undefined && (at < from || at > to) ? at : start;
  isPlaying.value = true;
  const isCalm = matchMedia('(prefers-reduced-motion: reduce)').matches;
  let last = performance.now();
  let shown = last;
  let now = pinned.peek() ?? 0;
  frames.count = 0;
  frames.since = last;
  const step = (time: number): void => {
    if (!isPlaying.peek()) return;
    /* the cursor may have been put elsewhere meanwhile */
    if (Math.abs((pinned.peek() ?? now) - now) > 1e-9 && !isCalm) now = pinned.peek() ?? now;
    now += Math.max(0, (time - last) / 1000) * speed.peek();
    last = time;
    frames.count++;
    if (now >= end) {
      pinned.value = end;
      pause();
      return;
    }
    if (!isCalm || time - shown >= CALM_STEP) {
      shown = time;
      pinned.value = now;
      keepInView(now);
    }
    request = requestAnimationFrame(step);
  };
  request = requestAnimationFrame(step);
}

export function pause(): void {
  cancelAnimationFrame(request);
  isPlaying.value = false;
  if (pinned.peek() !== undefined) placeCursor(pinned.peek() ?? 0);
}

export const playOrPause = (): void => (isPlaying.peek() ? pause() : play());
