import type { EvidenceSeries } from '../../../../shared/evidence.ts';
import type { Span } from '../../../../shared/span.ts';
import { html, type Markup } from '../markup.ts';
import { tenth, type Frame } from './frame.ts';

/** A line of a picture; x and y already in the reader's units, null = no value. */
export type Drawn = Pick<EvidenceSeries, 'label' | 'style' | 'role'> & {
  readonly x: readonly number[];
  readonly y: readonly (number | null)[];
  readonly low?: readonly (number | null)[];
  readonly high?: readonly (number | null)[];
};

export interface Level {
  readonly label: string;
  readonly value: number;
}

/* The subject and its first witness as in the viewer, so that paper and screen can lie side by side. */
const COLOURS: Readonly<Record<EvidenceSeries['role'], readonly string[]>> = {
  subject: ['#d55e00', '#882255', '#332288', '#008060'],
  witness: ['#0072b2', '#545b68', '#008060', '#882255', '#332288', '#000000'],
  limit: ['#a8321a', '#545b68', '#332288'],
};
const LIMIT_DASHES = ['6 4', '2 3', '9 3 2 3'];
const MOST_POINTS = 1400;

interface Stroke {
  readonly colour: string;
  readonly dash: string | undefined;
  readonly width: number;
}

/** The series one by one with their strokes: in each role colours run on, limits are dashed. */
function strokes(series: readonly Drawn[]): readonly Stroke[] {
  const seen = { subject: 0, witness: 0, limit: 0 };
  return series.map(({ role }) => {
    const colours = COLOURS[role];
    const k = seen[role]++;
    return { colour: colours[k % colours.length] as string, dash: role === 'limit' ? (LIMIT_DASHES[k % LIMIT_DASHES.length] as string) : k >= colours.length ? '3 3' : undefined, width: role === 'subject' ? 1.8 : 1.3 };
  });
}

export function lines(series: readonly Drawn[], on: Frame): Markup {
  const how = strokes(series);
  return html`${series.map((one, k) => band(one, on, how[k] as Stroke))}${series.map((one, k) => line(one, on, how[k] as Stroke))}`;
}

function line(one: Drawn, on: Frame, { colour, dash, width }: Stroke): Markup {
  const isPoints = one.style === 'points';
  return html`<path d="${pathOf(thinned(one), on)}" fill="none" stroke="${colour}" stroke-width="${isPoints ? 3.6 : width}" stroke-linejoin="round"${isPoints && html` stroke-linecap="round"`}${dash !== undefined && html` stroke-dasharray="${dash}"`}/>`;
}

/** Points are strokes of no length with round ends. */
function pathOf({ x, y, style }: Pick<Drawn, 'x' | 'y' | 'style'>, on: Frame): string {
  let path = '';
  let isOpen = false;
  x.forEach((at, k) => {
    const value = y[k];
    if (value === null || value === undefined || !Number.isFinite(value) || !Number.isFinite(at)) {
      isOpen = false;
      return;
    }
    const [px, py] = [tenth(on.x(at)), tenth(on.y(value))];
    if (style === 'points') path += `M${px} ${py}h0`;
    else if (!isOpen) path += `M${px} ${py}`;
    else path += style === 'steps' ? `H${px}V${py}` : `L${px} ${py}`;
    isOpen = true;
  });
  return path;
}

/** The 95 % band of a series, stretch by stretch between its holes; whiskers where the series is points. */
function band({ x, low, high, style }: Drawn, on: Frame, { colour }: Stroke): Markup {
  if (low === undefined || high === undefined) return html``;
  const known = x.map((at, k) => ({ at, low: low[k], high: high[k] }));
  const isKnown = (each: (typeof known)[number]): each is { at: number; low: number; high: number } => Number.isFinite(each.low) && Number.isFinite(each.high);
  if (style === 'points') return html`<path d="${known.filter(isKnown).map((each) => `M${tenth(on.x(each.at))} ${tenth(on.y(each.low))}V${tenth(on.y(each.high))}`).join('')}" stroke="${colour}" stroke-width="1" stroke-opacity="0.55" fill="none"/>`;
  const stretches: { at: number; low: number; high: number }[][] = [[]];
  for (const each of known) {
    if (isKnown(each)) stretches.at(-1)?.push(each);
    else if ((stretches.at(-1)?.length ?? 0) > 0) stretches.push([]);
  }
  const outline = (stretch: readonly { at: number; low: number; high: number }[]): string =>
    `M${[...stretch.map((each) => `${tenth(on.x(each.at))} ${tenth(on.y(each.high))}`), ...stretch.toReversed().map((each) => `${tenth(on.x(each.at))} ${tenth(on.y(each.low))}`)].join('L')}Z`;
  return html`<path d="${stretches.filter((stretch) => stretch.length > 1).map(outline).join('')}" fill="${colour}" fill-opacity="0.16" stroke="none"/>`;
}

/** Long lines by the least and the greatest of each small stretch, so that no extreme is lost. */
function thinned(one: Drawn): Pick<Drawn, 'x' | 'y' | 'style'> {
  const n = one.x.length;
  if (n <= MOST_POINTS) return one;
  const size = Math.ceil((2 * n) / MOST_POINTS);
  const kept: number[] = [];
  for (let start = 0; start < n; start += size) {
    let [least, most] = [-1, -1];
    let hole = -1;
    for (let k = start; k < Math.min(n, start + size); k++) {
      const value = one.y[k];
      if (value === null || value === undefined || !Number.isFinite(value)) hole = k;
      else {
        if (least < 0 || value < (one.y[least] as number)) least = k;
        if (most < 0 || value > (one.y[most] as number)) most = k;
      }
    }
    kept.push(...new Set([least, most, hole].filter((k) => k >= 0).sort((a, b) => a - b)));
  }
  return { style: one.style, x: kept.map((k) => one.x[k] as number), y: kept.map((k) => one.y[k] ?? null) };
}

/** The finding's own stretches behind the lines, bracketed at the top so that they also show in grey. */
export function shades(spans: readonly Span[], on: Frame): Markup {
  return html`${spans.flatMap((span) => {
    const [from, to] = [Math.max(on.left, on.x(span.start)), Math.min(on.right, on.x(span.end))];
    if (!(to >= from)) return [];
    const width = tenth(Math.max(1.5, to - from));
    return [html`<rect x="${tenth(from)}" y="${on.top}" width="${width}" height="${on.bottom - on.top}" fill="#f7e7dc"/><rect x="${tenth(from)}" y="${on.top - 3}" width="${width}" height="3" fill="#a8321a"/>`];
  })}`;
}

/** Reference values across the picture. Labels that would fall on one another step aside. */
export function levelLines(levels: readonly Level[], on: Frame): Markup {
  let last = Infinity;
  const ordered = levels.filter(({ value }) => Number.isFinite(value)).toSorted((a, b) => a.value - b.value);
  return html`${ordered.map(({ label, value }) => {
    const y = tenth(on.y(value));
    const place = Math.min(y - 4, last - 13);
    last = place;
    return html`<line x1="${on.left}" x2="${on.right}" y1="${y}" y2="${y}" stroke="#a8321a" stroke-width="1.3" stroke-dasharray="6 4"/><text x="${on.right - 4}" y="${tenth(Math.max(11, place))}" text-anchor="end" stroke="#ffffff" stroke-width="3" paint-order="stroke">${label}</text>`;
  })}`;
}

export function keys(series: readonly Drawn[]): Markup {
  const how = strokes(series);
  return html`<ul class="keys">${series.map(({ label, style }, k) => {
    const { colour, dash, width } = how[k] as Stroke;
    return html`<li><svg viewBox="0 0 26 12" aria-hidden="true">${style === 'points' ? html`<circle cx="13" cy="6" r="2.4" fill="${colour}"/>` : html`<line x1="0" x2="26" y1="6" y2="6" stroke="${colour}" stroke-width="${width}"${dash !== undefined && html` stroke-dasharray="${dash}"`}/>`}</svg>${label}</li>`;
  })}</ul>`;
}
