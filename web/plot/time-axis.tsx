import { useRef } from 'preact/hooks';
import { formatClock } from '../../shared/text.ts';
import { reading } from '../state.ts';
import { useDrawing } from './drawing.ts';
import { themeColour } from './palette.ts';
import { clockSeconds } from './show-value.ts';
import { gutterOf, plotWidth, timeAt, xOf } from './stage-geometry.ts';
import { timeTicks } from './time-ticks.ts';
import { drawnRange, placeCursor, shownRange } from './time-view.ts';

const HEIGHT = 26;

/** Clock times under all lanes, with the zone they are in. Dragging along it moves the cursor. */
export function TimeAxis() {
  const drags = useRef(false);
  const canvas = useDrawing(HEIGHT, (pen, width) => paint(pen, width), []);
  const put = (event: PointerEvent, how: 'keep' | 'remember'): void => {
    const box = (event.currentTarget as Element).getBoundingClientRect();
    const range = shownRange.peek();
    placeCursor(Math.min(range.to, Math.max(range.from, timeAt(event.clientX - box.left, range, box.width))), how);
  };
  return (
    <canvas ref={canvas} class="time-axis" data-own-pointer aria-hidden="true"
      onPointerDown={(event) => {
        event.currentTarget.setPointerCapture(event.pointerId);
        drags.current = true;
        put(event, 'keep');
      }}
      onPointerMove={(event) => { if (drags.current) put(event, 'keep'); }}
      onPointerUp={(event) => {
        drags.current = false;
        put(event, 'remember');
      }} />
  );
}

function paint(pen: CanvasRenderingContext2D, width: number): void {
  const range = drawnRange.value;
  const clock = reading.value;
  const { step, times } = timeTicks(range, Math.max(2, Math.floor(plotWidth(width) / 84)), clockSeconds(0, clock));
  pen.fillStyle = pen.strokeStyle = themeColour('--quiet');
  pen.font = '12px system-ui, sans-serif';
  pen.textBaseline = 'middle';
  pen.textAlign = 'left';
  pen.fillText(shortZone(clock.zone, gutterOf(width)), 0, HEIGHT / 2 + 2);
  pen.textAlign = 'center';
  for (const time of times) {
    const x = xOf(time, range, width);
    pen.fillRect(Math.round(x), 0, 1, 5);
    const label = formatClock(time + 1e-6, clock);
    const text = step >= 60 ? label.slice(0, 5) : step >= 1 ? label : `${label}${(((time + clock.dayStart) % 1) + 1).toFixed(1).slice(1)}`;
    const half = pen.measureText(text).width / 2;
    pen.fillText(text, Math.min(width - half, Math.max(gutterOf(width) + 2, x)), HEIGHT / 2 + 3);
  }
}

/** The whole name where it fits, else its last part: `America/Regina` → `Regina`. */
function shortZone(zone: string, room: number): string {
  return zone.length * 7 <= room ? zone : (zone.split('/').at(-1) ?? zone).replaceAll('_', ' ');
}
