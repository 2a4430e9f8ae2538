import type { RunsEvidence } from '../../../../shared/evidence.ts';
import { renderText, type Reading } from '../../../../shared/text.ts';
import { html, type Markup } from '../markup.ts';
import { clockTicks } from './axis.ts';
import { picture, tenth, WIDTH } from './frame.ts';

/** Upper bounds of flow ÷ tower mates and their colours: warm is less, cold is more, dark is far; reads in grey by its order. */
const CLASSES: readonly { readonly below: number; readonly colour: string; readonly words: string }[] = [
  { below: 0.25, colour: '#5c2208', words: 'under 25 %' },
  { below: 0.7, colour: '#b4561d', words: '25–70 %' },
  { below: 0.9, colour: '#e3a878', words: '70–90 %' },
  { below: 1.1, colour: '#ece7dd', words: '90–110 %' },
  { below: 1.3, colour: '#9fbfdc', words: '110–130 %' },
  { below: Infinity, colour: '#3f7fb8', words: 'over 130 %' },
];
const MOST_CELLS = 220;
const LEFT = 74;
const RIGHT = 8;
const TOP = 8;
const BOTTOM = 24;

/** Every run over time: a row per run, the colour says how its flow stands to its tower mates. */
export function runsChart(evidence: RunsEvidence, reading: Reading): Markup {
  const row = Math.max(5, Math.min(14, Math.floor(320 / Math.max(1, evidence.runs.length))));
  const bottom = TOP + evidence.runs.length * row;
  const height = bottom + BOTTOM;
  const [first, last] = [evidence.time[0] ?? 0, evidence.time.at(-1) ?? 1];
  const x = (time: number): number => LEFT + ((time - first) / (last - first || 1)) * (WIDTH - LEFT - RIGHT);
  const cells = evidence.ratio.map((ratios, k) => bars(ratios, evidence.time).map(({ from, to, colour }) =>
    html`<rect x="${tenth(x(from))}" y="${TOP + k * row}" width="${tenth(Math.max(0.8, x(to) - x(from)))}" height="${row - (row > 7 ? 1 : 0.4)}" fill="${colour}"/>`));
  const brackets = evidence.shaded.flatMap((span) => {
    const [from, to] = [Math.max(LEFT, x(span.start)), Math.min(WIDTH - RIGHT, x(span.end))];
    return to >= from ? [html`<rect x="${tenth(from)}" y="1" width="${tenth(Math.max(2, to - from))}" height="3" fill="#a8321a"/>`] : [];
  });
  const ticks = clockTicks(first, last, 8, reading);
  const axis = ticks.at.map((time) => html`<line x1="${tenth(x(time))}" x2="${tenth(x(time))}" y1="${bottom}" y2="${bottom + 4}" stroke="#545b68"/><text x="${tenth(Math.min(WIDTH - 16, Math.max(16, x(time))))}" y="${bottom + 17}" text-anchor="middle">${ticks.label(time)}</text>`);
  const words = renderText(evidence.title, reading);
  return html`${picture(height, `${words}. ${evidence.runs.length} runs over time.`, html`${cells}${brackets}${names(evidence, row)}${axis}`)}
<ul class="keys">${CLASSES.map(({ colour, words: label }) => html`<li><svg viewBox="0 0 26 12" aria-hidden="true"><rect width="26" height="12" fill="${colour}"/></svg>${label}</li>`)}<li>of its tower mates; blank = off or not logged</li></ul>`;
}

/** Neighbouring cells of one colour as one bar; a fine picture is first made coarser by the mean of its cells. */
function bars(ratios: readonly (number | null)[], time: readonly number[]): readonly { readonly from: number; readonly to: number; readonly colour: string }[] {
  const step = Math.max(1, Math.ceil(ratios.length / MOST_CELLS));
  const found: { from: number; to: number; colour: string }[] = [];
  for (let k = 0; k < ratios.length; k += step) {
    const known = ratios.slice(k, k + step).filter((value): value is number => value !== null && Number.isFinite(value));
    if (known.length === 0) continue;
    const mean = known.reduce((sum, value) => sum + value, 0) / known.length;
    const colour = CLASSES.find(({ below }) => mean < below)?.colour ?? '#3f7fb8';
    const [from, to] = [time[k] as number, time[Math.min(ratios.length, k + step)] as number];
    const before = found.at(-1);
    if (before !== undefined && before.colour === colour && before.to === from) before.to = to;
    else found.push({ from, to, colour });
  }
  return found;
}

/** Names of the rows: the marked ones always, the others where there is room, or the first of each tower. */
function names({ runs, towers, highlighted }: RunsEvidence, row: number): readonly Markup[] {
  return runs.map((run, k) => {
    const isMarked = highlighted.includes(run);
    const startsTower = towers[k] !== towers[k - 1];
    const isNearMarked = highlighted.some((other) => other !== run && Math.abs(runs.indexOf(other) - k) * row < 13);
    if (!isMarked && (isNearMarked || (row < 12 && !startsTower))) return html``;
    const y = tenth(TOP + k * row + row / 2 + 4);
    return html`${isMarked && html`<rect x="${LEFT - 6}" y="${TOP + k * row}" width="3" height="${row - 1}" fill="#a8321a"/>`}<text x="${LEFT - 10}" y="${y}" text-anchor="end"${isMarked && html` font-weight="700"`}>${isMarked ? `run ${run}` : startsTower ? `${(towers[k] ?? '').slice(0, 4)} ${run}` : String(run)}</text>`;
  });
}
