import { effect } from '@preact/signals';
import { useEffect, useRef } from 'preact/hooks';
import type { DayView } from '../../../shared/api.ts';
import { formatClock } from '../../../shared/text.ts';
import { useDrawing } from '../../plot/drawing.ts';
import { themeColour } from '../../plot/palette.ts';
import { RIGHT, gutterOf, plotWidth, timeAt, xOf } from '../../plot/stage-geometry.ts';
import { cursor, drawnRange, moveRange, setRange, settleRange, shownRange } from '../../plot/time-view.ts';
import { reading } from '../../state.ts';

const HEIGHT = 34;
type Part = 'from' | 'whole' | 'to';

/** The whole day in small: work, findings, and the stretch in view, which can be dragged, stretched and moved by keys. */
export function Minimap({ view }: { readonly view: DayView }) {
  const whole = { from: 0, to: view.duration };
  const place = useRef<HTMLDivElement>(null);
  const parts = { from: useRef<HTMLDivElement>(null), whole: useRef<HTMLDivElement>(null), to: useRef<HTMLDivElement>(null) };
  const cursorMark = useRef<HTMLDivElement>(null);
  const canvas = useDrawing(HEIGHT, (pen, width) => paint(pen, width, view), [view]);
  const held = useRef<{ readonly part: Part; readonly x: number; readonly from: number; readonly to: number } | undefined>(undefined);

  useEffect(() => {
    const element = place.current;
    if (element === null) return undefined;
    const put = (): void => {
      const width = element.clientWidth;
      const range = drawnRange.value;
      const [left, right] = [xOf(range.from, whole, width), xOf(range.to, whole, width)];
      const set = (part: Part, x: number, wide: number | undefined, text: string): void => {
        const one = parts[part].current;
        if (one === null) return;
        one.style.transform = `translateX(${x}px)`;
        if (wide !== undefined) one.style.width = `${wide}px`;
        one.setAttribute('aria-valuenow', String(Math.round(part === 'to' ? range.to : range.from)));
        one.setAttribute('aria-valuetext', text);
      };
      set('from', left - 12, undefined, formatClock(range.from, reading.value));
      set('to', right - 12, undefined, formatClock(range.to, reading.value));
      set('whole', left, Math.max(2, right - left), `${formatClock(range.from, reading.value)} to ${formatClock(range.to, reading.value)}`);
    };
    const stop = effect(put);
    const stopCursor = effect(() => {
      const at = cursor.value;
      if (cursorMark.current === null) return;
      cursorMark.current.hidden = at === undefined;
      if (at !== undefined) cursorMark.current.style.transform = `translateX(${xOf(at, whole, element.clientWidth)}px)`;
    });
    const watcher = new ResizeObserver(put);
    watcher.observe(element);
    return () => {
      stop();
      stopCursor();
      watcher.disconnect();
    };
  }, [view]);

  const grab = (event: PointerEvent, part: Part): void => {
    (event.currentTarget as Element).setPointerCapture(event.pointerId);
    held.current = { part, x: event.clientX, ...shownRange.peek() };
    event.stopPropagation();
  };
  const drag = (event: PointerEvent): void => {
    const hold = held.current;
    if (hold === undefined) return;
    const by = ((event.clientX - hold.x) / plotWidth(place.current?.clientWidth ?? 1)) * view.duration;
    if (hold.part === 'whole') moveRange({ from: hold.from + by, to: hold.to + by });
    else if (hold.part === 'from') moveRange({ from: Math.min(hold.to - 1, Math.max(0, hold.from + by)), to: hold.to });
    else moveRange({ from: hold.from, to: Math.max(hold.from + 1, Math.min(view.duration, hold.to + by)) });
  };
  const drop = (): void => {
    if (held.current !== undefined) settleRange();
    held.current = undefined;
  };
  const keys = (event: KeyboardEvent, part: Part): void => {
    const step = (event.shiftKey ? 0.1 : 0.01) * view.duration * ({ ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1 }[event.key] ?? 0);
    if (step === 0) return;
    event.preventDefault();
    const { from, to } = shownRange.peek();
    if (part === 'whole') setRange({ from: from + step, to: to + step });
    else if (part === 'from') setRange({ from: Math.min(to - 1, Math.max(0, from + step)), to });
    else setRange({ from, to: Math.max(from + 1, Math.min(view.duration, to + step)) });
  };
  const part = (name: Part, label: string) => (
    <div ref={parts[name]} class={`brush-${name}`} role="slider" tabIndex={0} aria-label={label} aria-valuemin={0} aria-valuemax={Math.round(view.duration)} aria-valuenow={0}
      onPointerDown={(event) => grab(event, name)} onPointerMove={drag} onPointerUp={drop} onPointerCancel={drop} onKeyDown={(event) => keys(event, name)} />
  );
  return (
    <div ref={place} class="minimap" role="group" aria-label="The whole day, and the stretch in view"
      onPointerDown={(event) => {
        /* beside the stretch: it comes there */
        const box = event.currentTarget.getBoundingClientRect();
        const { from, to } = shownRange.peek();
        const centre = timeAt(event.clientX - box.left, whole, box.width);
        setRange({ from: centre - (to - from) / 2, to: centre + (to - from) / 2 });
      }}>
      <canvas ref={canvas} aria-hidden="true" />
      <div ref={cursorMark} class="minimap-cursor" hidden />
      {part('whole', 'Stretch in view')}
      {part('from', 'Start of the view')}
      {part('to', 'End of the view')}
    </div>
  );
}

function paint(pen: CanvasRenderingContext2D, width: number, view: DayView): void {
  const whole = { from: 0, to: view.duration };
  const bar = (start: number, end: number, top: number, height: number, least: number): void => {
    const x = xOf(start, whole, width);
    pen.fillRect(x, top, Math.max(least, xOf(end, whole, width) - x), height);
  };
  pen.fillStyle = themeColour('--sheet');
  pen.fillRect(gutterOf(width), 0, width - gutterOf(width) - RIGHT, HEIGHT);
  pen.fillStyle = themeColour('--work');
  for (const { start, end } of view.episodes.working) bar(start, end, 20, 9, 1);
  pen.fillStyle = themeColour('--fill');
  for (const { start, end } of view.episodes.filling) bar(start, end, 20, 9, 3);
  pen.fillStyle = themeColour('--gap');
  for (const { start, end } of view.episodes.gaps) bar(start, end, 18, 13, 2);
  for (const severity of ['info', 'watch', 'action'] as const) {
    pen.fillStyle = themeColour(`--${severity}`);
    for (const { span } of view.findings.filter((finding) => finding.severity === severity)) bar(span.start, span.end, severity === 'action' ? 4 : severity === 'watch' ? 9 : 14, 4, 4);
  }
}
