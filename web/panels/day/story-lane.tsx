import type { DayView } from '../../../shared/api.ts';
import type { Span } from '../../../shared/span.ts';
import { formatClock, formatDuration, quantity, renderText } from '../../../shared/text.ts';
import { useDrawing } from '../../plot/drawing.ts';
import { themeColour } from '../../plot/palette.ts';
import { RIGHT, gutterOf, xOf } from '../../plot/stage-geometry.ts';
import { TableBehind } from '../../plot/table-behind.tsx';
import { drawnRange } from '../../plot/time-view.ts';
import { reading } from '../../state.ts';

const BAND = 22;
const HEIGHT = 2 * BAND + 6;

type Doing = 'working' | 'turning' | 'parked' | 'filling' | 'no record';

interface Stretch extends Span {
  readonly what: Doing;
  readonly label: string;
}

/** Everything the day consisted of, in time order. */
export function storyOf({ episodes }: Pick<DayView, 'episodes'>): readonly Stretch[] {
  const named = (spans: readonly Span[], what: Doing): Stretch[] => spans.map((span) => ({ start: span.start, end: span.end, what, label: what }));
  return [
    ...named(episodes.working, 'working'), ...named(episodes.turning, 'turning'), ...named(episodes.parked, 'parked'), ...named(episodes.gaps, 'no record'),
    ...episodes.filling.map(({ start, end, tank, massKg }): Stretch => ({ start, end, what: 'filling', label: `tank ${tank} +${quantity.mass(massKg)}` })),
  ].sort((a, b) => a.start - b.start);
}

/** What the machine was doing at an instant, as a word for the read-out. */
export function doingAt({ episodes }: Pick<DayView, 'episodes'>, at: number): string {
  const inside = (spans: readonly Span[]): boolean => spans.some(({ start, end }) => at >= start && at < end);
  return inside(episodes.gaps) ? 'no record' : inside(episodes.filling) ? 'filling' : inside(episodes.turning) ? 'turning' : inside(episodes.working) ? 'working' : inside(episodes.parked) ? 'parked' : 'moving, lifted';
}

/** The day's story: above what the machine did, below what was filled and where nothing was recorded. */
export function StoryLane({ view }: { readonly view: DayView }) {
  const canvas = useDrawing(HEIGHT, (pen, width) => paint(pen, width, view), [view]);
  const rows = (): (readonly string[])[] => storyOf(view).map(({ start, end, what, label }) => [
    formatClock(start, reading.value), formatClock(end, reading.value), formatDuration(end - start, 0), what, what === 'filling' ? renderText(label, reading.value) : '',
  ]);
  return (
    <figure class="lane" tabIndex={0} data-lane="story" aria-label="The story of the day: working, turning, parked, filling, gaps in the record">
      <figcaption class="lane-head">
        <strong>Story</strong>
        {(['working', 'turning', 'parked', 'filling', 'no record'] as const).map((what) => <span key={what} class="key"><i class={`story-key ${what.replace(' ', '-')}`} aria-hidden="true" />{what}</span>)}
      </figcaption>
      <canvas ref={canvas} class="picture" aria-hidden="true" />
      <TableBehind summary={<>Numbers<span class="unseen">: the story as a table</span></>} columns={[{ label: 'from' }, { label: 'to' }, { label: 'for' }, { label: 'doing' }, { label: 'filled' }]} rows={rows} />
    </figure>
  );
}

function paint(pen: CanvasRenderingContext2D, width: number, view: DayView): void {
  const range = drawnRange.value;
  const clock = reading.value;
  const colour = { ground: themeColour('--sheet'), ink: themeColour('--ink'), quiet: themeColour('--quiet'), work: themeColour('--work'), workInk: themeColour('--work-ink'), turn: themeColour('--turn'), fill: themeColour('--fill'), gap: themeColour('--gap') };
  pen.save();
  pen.beginPath();
  pen.rect(gutterOf(width), 0, width - gutterOf(width) - RIGHT, HEIGHT);
  pen.clip();
  pen.font = '12px system-ui, sans-serif';
  pen.textBaseline = 'middle';
  const bar = ({ start, end }: Span, top: number, height: number): { x: number; w: number } | undefined => {
    if (end < range.from || start > range.to) return undefined;
    const x = xOf(start, range, width);
    const w = Math.max(1, xOf(end, range, width) - x);
    pen.fillRect(x, top, w, height);
    return { x, w };
  };
  const word = (text: string, box: { x: number; w: number } | undefined, y: number, ink: string): void => {
    if (box === undefined) return;
    const left = Math.max(box.x, gutterOf(width));
    const room = Math.min(box.x + box.w, width - RIGHT) - left;
    if (pen.measureText(text).width + 12 > room) return;
    pen.fillStyle = ink;
    pen.fillText(text, left + 6, y);
  };
  const { episodes } = view;
  pen.strokeStyle = colour.quiet;
  pen.lineWidth = 1;
  for (const span of episodes.parked) {
    pen.fillStyle = colour.ground;
    const box = bar(span, 1, BAND - 2);
    if (box !== undefined) pen.strokeRect(box.x + 0.5, 1.5, Math.max(0, box.w - 1), BAND - 3);
    word('parked', box, BAND / 2, colour.quiet);
  }
  for (const span of episodes.working) {
    pen.fillStyle = colour.work;
    word('working', bar(span, 0, BAND), BAND / 2, colour.workInk);
  }
  for (const span of episodes.turning) {
    pen.fillStyle = colour.turn;
    bar(span, BAND / 2 - 3, 6);
  }
  for (const { massKg, tank, ...span } of episodes.filling) {
    pen.fillStyle = colour.fill;
    const box = bar({ start: span.start, end: Math.max(span.end, span.start) }, BAND + 4, BAND);
    if (box === undefined) continue;
    const text = renderText(`tank ${tank} +${quantity.mass(massKg)}`, clock);
    if (pen.measureText(text).width + 12 <= box.w) word(text, box, BAND * 1.5 + 4, colour.workInk);
    else {
      pen.fillStyle = colour.ink;
      pen.fillText(text, box.x + box.w + 4, BAND * 1.5 + 4);
    }
  }
  for (const span of episodes.gaps) {
    const box = ((): { x: number; w: number } | undefined => {
      pen.fillStyle = colour.gap;
      return bar(span, 0, HEIGHT);
    })();
    word('no record', box, BAND / 2, colour.ink);
  }
  pen.restore();
}
