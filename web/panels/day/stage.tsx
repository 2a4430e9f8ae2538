import { effect } from '@preact/signals';
import type { ComponentChildren } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import { followPointers } from '../../plot/gestures.ts';
import { plotWidth, xOf } from '../../plot/stage-geometry.ts';
import { cursor, drawnRange, keepInView, panBy, placeCursor, shownRange, undoZoom, wholeDay, zoomAbout, zoomCentre } from '../../plot/time-view.ts';
import { themeTurns } from '../../plot/palette.ts';

/** CSS pixels the cursor walks at one press of an arrow key. */
const WALK = 4;

/** All lanes on one time axis: one cursor through all, one hand on all. `onWalk` is told where keys put the cursor. */
export function Stage({ children, onWalk }: { readonly children: ComponentChildren; readonly onWalk: (at: number, plot: Element) => void }) {
  const stage = useRef<HTMLDivElement>(null);
  const line = useRef<HTMLDivElement>(null);
  const box = useRef<HTMLDivElement>(null);

  useEffect(() => {
    const [element, cursorLine, choice] = [stage.current, line.current, box.current];
    if (element === null || cursorLine === null || choice === null) return undefined;
    const release = followPointers(element, (chosen) => {
      choice.hidden = chosen === undefined;
      if (chosen === undefined) return;
      choice.style.transform = `translateX(${chosen.left}px)`;
      choice.style.width = `${chosen.right - chosen.left}px`;
    });
    let width = element.clientWidth;
    const place = (): void => {
      const at = cursor.value;
      const range = drawnRange.value;
      void themeTurns.value;
      const isSeen = at !== undefined && at >= range.from && at <= range.to;
      cursorLine.hidden = !isSeen;
      if (isSeen) cursorLine.style.transform = `translateX(${xOf(at, range, width)}px)`;
    };
    const stop = effect(place);
    const watcher = new ResizeObserver(() => {
      width = element.clientWidth;
      place();
    });
    watcher.observe(element);
    return () => {
      stop();
      release();
      watcher.disconnect();
    };
  }, []);

  const keys = (event: KeyboardEvent): void => {
    if (event.ctrlKey || event.metaKey || event.altKey || !(event.target instanceof Element) || event.target.closest('input, select, textarea, summary, [role=slider]') !== null) return;
    const { from, to } = shownRange.peek();
    const walk = (pixels: number): void => {
      const at = (cursor.value ?? (from + to) / 2) + (pixels * (to - from)) / plotWidth(stage.current?.clientWidth ?? 1000);
      placeCursor(at);
      keepInView(at);
      onWalk(cursor.value ?? at, event.target as Element);
    };
    const actions: Readonly<Record<string, () => void>> = {
      'ArrowLeft': () => (event.shiftKey ? panBy(-0.25) : walk(-WALK)),
      'ArrowRight': () => (event.shiftKey ? panBy(0.25) : walk(WALK)),
      'Home': () => walk(-Infinity),
      'End': () => walk(Infinity),
      '+': () => zoomAbout(zoomCentre(), 0.5),
      '=': () => zoomAbout(zoomCentre(), 0.5),
      '-': () => zoomAbout(zoomCentre(), 2),
      '0': wholeDay,
      'Backspace': undoZoom,
    };
    const action = actions[event.key];
    if (action === undefined) return;
    event.preventDefault();
    action();
  };

  return (
    <div ref={stage} class="stage" onKeyDown={keys}>
      {children}
      <div ref={line} class="cursor-line" hidden />
      <div ref={box} class="zoom-box" hidden />
    </div>
  );
}
