import { timeAt } from './stage-geometry.ts';
import type { Range } from './range.ts';
import { hovered, isPlaying, moveRange, placeCursor, setRange, settleRange, shownRange, wholeDay, zoomSoftly } from './time-view.ts';

/** CSS pixels a hand may shake without dragging. */
const STILL = 4;

interface Hand {
  readonly x: number;
  readonly y: number;
}

/**
 * Pointers over the lanes: drag to look closer, Shift or middle button and drag to move along, one finger to move along,
 * two to zoom, Ctrl and wheel to zoom about the pointer, click to place the cursor, double click for the whole day.
 * A plain wheel scrolls the page. Elements with `data-own-pointer` keep theirs. `showBox` draws the stretch being chosen.
 */
export function followPointers(stage: HTMLElement, showBox: (box: { readonly left: number; readonly right: number } | undefined) => void): () => void {
  const hands = new Map<number, Hand>();
  let mode: 'none' | 'choose' | 'move' | 'pinch' = 'none';
  let start: { readonly x: number; readonly range: Range; readonly times: readonly number[] } | undefined;

  const placeOf = (event: MouseEvent): Hand => {
    const box = stage.getBoundingClientRect();
    return { x: event.clientX - box.left, y: event.clientY - box.top };
  };
  const timeOf = (x: number, range = shownRange.peek()): number => timeAt(x, range, stage.clientWidth);
  const isOwn = (event: Event): boolean => event.target instanceof Element && event.target.closest('button, input, select, summary, a, label, table, [data-own-pointer]') !== null;

  const down = (event: PointerEvent): void => {
    if (isOwn(event) || (event.button !== 0 && event.button !== 1)) return;
    if (event.button === 1) event.preventDefault();
    const hand = placeOf(event);
    hands.set(event.pointerId, hand);
    const range = shownRange.peek();
    const isTouch = event.pointerType === 'touch';
    mode = hands.size === 2 ? 'pinch' : isTouch || event.shiftKey || event.button === 1 ? 'move' : 'choose';
    start = { x: hand.x, range, times: [...hands.values()].map(({ x }) => timeOf(x, range)) };
  };

  const move = (event: PointerEvent): void => {
    const hand = placeOf(event);
    if (!hands.has(event.pointerId)) {
      if (event.pointerType !== 'touch' && !isPlaying.peek()) hovered.value = isOwn(event) ? undefined : Math.min(shownRange.peek().to, Math.max(shownRange.peek().from, timeOf(hand.x)));
      return;
    }
    hands.set(event.pointerId, hand);
    if (start === undefined) return;
    if (mode === 'pinch') return pinch(start);
    if (Math.abs(hand.x - start.x) < STILL && !stage.hasPointerCapture(event.pointerId)) return;
    if (!stage.hasPointerCapture(event.pointerId)) stage.setPointerCapture(event.pointerId);
    if (mode === 'choose') showBox({ left: Math.min(start.x, hand.x), right: Math.max(start.x, hand.x) });
    else if (mode === 'move') {
      const by = timeOf(start.x, start.range) - timeOf(hand.x, start.range);
      moveRange({ from: start.range.from + by, to: start.range.to + by });
    }
  };

  const pinch = ({ times }: NonNullable<typeof start>): void => {
    const [one, other] = [...hands.values()].map(({ x }) => timeOf(x, { from: 0, to: 1 }));
    const [first, second] = times;
    if (one === undefined || other === undefined || first === undefined || second === undefined || Math.abs(one - other) < 0.02) return;
    /* the times under both fingers stay under them */
    const span = Math.abs((second - first) / (other - one));
    const from = first - one * span;
    moveRange({ from, to: from + span });
  };

  const up = (event: PointerEvent): void => {
    if (!hands.has(event.pointerId)) return;
    const hand = placeOf(event);
    const wasDragged = stage.hasPointerCapture(event.pointerId);
    hands.delete(event.pointerId);
    showBox(undefined);
    if (mode === 'pinch' || mode === 'move') settleRange();
    if (start !== undefined && event.type === 'pointerup' && mode === 'choose' && wasDragged) {
      const [one, other] = [timeOf(start.x), timeOf(hand.x)];
      setRange({ from: Math.max(start.range.from, Math.min(one, other)), to: Math.min(start.range.to, Math.max(one, other)) });
    } else if (start !== undefined && event.type === 'pointerup' && !wasDragged && mode !== 'pinch' && event.button === 0) {
      placeCursor(Math.max(0, timeOf(hand.x)));
    }
    mode = 'none';
    start = undefined;
  };

  const leave = (): void => { hovered.value = undefined; };
  const wheel = (event: WheelEvent): void => {
    if (!event.ctrlKey) return;
    event.preventDefault();
    const { from, to } = shownRange.peek();
    const about = Math.min(to, Math.max(from, timeOf(placeOf(event).x)));
    zoomSoftly(about, Math.exp(Math.max(-60, Math.min(60, event.deltaY)) * 0.006));
  };
  const twice = (event: MouseEvent): void => { if (!isOwn(event)) wholeDay(); };

  stage.addEventListener('pointerdown', down);
  stage.addEventListener('pointermove', move);
  stage.addEventListener('pointerup', up);
  stage.addEventListener('pointercancel', up);
  stage.addEventListener('pointerleave', leave);
  stage.addEventListener('wheel', wheel, { passive: false });
  stage.addEventListener('dblclick', twice);
  return () => {
    stage.removeEventListener('pointerdown', down);
    stage.removeEventListener('pointermove', move);
    stage.removeEventListener('pointerup', up);
    stage.removeEventListener('pointercancel', up);
    stage.removeEventListener('pointerleave', leave);
    stage.removeEventListener('wheel', wheel);
    stage.removeEventListener('dblclick', twice);
  };
}
