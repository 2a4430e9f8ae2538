import type { Analysis } from '../../../../shared/day.ts';
import type { Span } from '../../../../shared/span.ts';
import { quantity, renderText, type Reading } from '../../../../shared/text.ts';
import { html, type Markup } from '../markup.ts';
import { clockTicks } from './axis.ts';
import { picture, tenth, WIDTH } from './frame.ts';

const LEFT = 78;
const RIGHT = 10;
const ROW = 18;
const GAP = 5;
const TOP = 4;
const MOST_FINDINGS = 10;
/** Fills of several tanks at one stop stand on each other; one word per stop is readable. */
const TOGETHER = 1200;

/** The story of the day: a named row for each thing the machine did, and one for each finding, over one clock. */
export function dayChart({ day, episodes, findings }: Pick<Analysis, 'day' | 'episodes' | 'findings'>, reading: Reading): Markup {
  const listed = findings.slice(0, MOST_FINDINGS);
  const x = (time: number): number => LEFT + (time / (day.duration || 1)) * (WIDTH - LEFT - RIGHT);
  const rows: readonly { readonly name: string; readonly spans: readonly Span[]; readonly colour: string; readonly words?: readonly Markup[] }[] = [
    { name: 'working', spans: episodes.working, colour: '#3f6f52' },
    { name: 'turning', spans: episodes.turning, colour: '#8d8266' },
    { name: 'parked', spans: episodes.parked, colour: '#a9adb6' },
    { name: 'filling', spans: episodes.filling, colour: '#27527c', words: fillWords(episodes.filling, x, reading) },
    ...(episodes.gaps.length > 0 ? [{ name: 'no record', spans: episodes.gaps, colour: '#1a1f28' }] : []),
    ...listed.map((finding, k) => ({ name: `finding ${k + 1}`, spans: finding.episodes.length > 0 ? finding.episodes : [finding.span], colour: finding.severity === 'info' ? '#6f7f8f' : '#a8321a' })),
  ];
  const bottom = TOP + rows.length * (ROW + GAP);
  const ticks = clockTicks(0, day.duration, 9, reading);
  const parts = rows.map(({ name, spans, colour, words = [] }, k) => {
    const top = TOP + k * (ROW + GAP);
    return html`<text x="${LEFT - 8}" y="${top + 13}" text-anchor="end">${name}</text>
<path d="${spans.map((span) => `M${tenth(x(span.start))} ${top}h${tenth(Math.max(1.2, x(span.end) - x(span.start)))}v${ROW}H${tenth(x(span.start))}Z`).join('')}" fill="${colour}"/>${words.map((word) => html`<g transform="translate(0 ${top + 13})">${word}</g>`)}`;
  });
  const grounds = rows.map((_, k) => html`<rect x="${LEFT}" y="${TOP + k * (ROW + GAP)}" width="${WIDTH - LEFT - RIGHT}" height="${ROW}" fill="#f4f2ec"/>`);
  const axis = ticks.at.map((time) => html`<line x1="${tenth(x(time))}" x2="${tenth(x(time))}" y1="${TOP}" y2="${bottom + 2}" stroke="#545b68" stroke-width="0.5" stroke-opacity="0.5"/><text x="${tenth(Math.min(WIDTH - 18, x(time)))}" y="${bottom + 15}" text-anchor="middle">${ticks.label(time)}</text>`);
  return html`${picture(bottom + 20, 'The story of the day: working, turning, parked, filling, and the time of each finding', html`${grounds}${axis}${parts}`)}${findings.length > listed.length && html`<p class="small">The first ${listed.length} of ${findings.length} findings are drawn.</p>`}`;
}

/** What was loaded at each stop, beside its bar. */
function fillWords(fills: Analysis['episodes']['filling'], x: (time: number) => number, reading: Reading): readonly Markup[] {
  const stops: { start: number; end: number; texts: string[] }[] = [];
  for (const fill of fills.toSorted((a, b) => a.start - b.start)) {
    const text = renderText(`tank ${fill.tank} +${quantity.mass(fill.massKg)}`, reading);
    const last = stops.at(-1);
    if (last !== undefined && fill.start - last.end < TOGETHER) {
      last.texts.push(text);
      last.end = Math.max(last.end, fill.end);
    } else stops.push({ start: fill.start, end: fill.end, texts: [text] });
  }
  let taken = 0;
  return stops.flatMap(({ start, end, texts }) => {
    const words = texts.length > 2 ? `${texts.length} tanks filled` : texts.join(', ');
    const wide = words.length * 6.2;
    const right = x(end) + 5;
    const isLeft = right + wide > WIDTH - RIGHT;
    const [from, to] = isLeft ? [x(start) - 5 - wide, x(start) - 5] : [right, right + wide];
    if (from < Math.max(LEFT, taken)) return [];
    taken = to;
    return [html`<text x="${tenth(isLeft ? to : from)}" text-anchor="${isLeft ? 'end' : 'start'}">${words}</text>`];
  });
}
