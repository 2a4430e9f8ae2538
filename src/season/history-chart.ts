import { measurementWords, shownAs, digitsFor } from '../../shared/measure-words.ts';
import { formatNumber, type UnitSystem } from '../../shared/text.ts';
import { html, type Markup } from '../handover/papers/markup.ts';
import type { SeriesHistory } from './history.ts';

/* Pixels of one small chart. */
const WIDTH = 460;
const HEIGHT = 170;
const LEFT = 58;
const RIGHT = 8;
const TOP = 8;
const BOTTOM = 22;
const DAY_SECONDS = 86_400;

/** One series as SVG: a point and its 95 % interval per day, what the season did as a line, the usual range shaded, settings entered anew as dashed lines. */
export function seriesChart({ series, model, limits, status }: SeriesHistory, settings: readonly { readonly start: number; readonly label: string }[], units: UnitSystem): Markup {
  const { points } = series;
  const { convert, label } = shownAs(series.unit, units);
  const days = points.map(({ listing }) => listing.start / DAY_SECONDS);
  const range = model === undefined || limits === undefined || !Number.isFinite(limits.low) ? undefined : limits;
  const [low, high] = padded([...points.flatMap((point) => [point.low, point.high]), ...(range === undefined ? [] : [range.low, range.high])].map(convert));
  const [from, to] = [Math.min(...days) - 0.5, Math.max(...days) + 0.5];
  const x = (day: number): string => (LEFT + ((day - from) / (to - from)) * (WIDTH - LEFT - RIGHT)).toFixed(1);
  const shownAt = (shown: number): number => HEIGHT - BOTTOM - ((shown - low) / (high - low)) * (HEIGHT - TOP - BOTTOM);
  const y = (value: number): string => shownAt(convert(value)).toFixed(1);
  const digits = digitsFor(0, (high - low) / 4);
  const grid = [1, 3, 5].map((sixth) => low + ((high - low) * sixth) / 6).map((level) => html`<line class="grid" x1="${LEFT}" x2="${WIDTH - RIGHT}" y1="${shownAt(level).toFixed(1)}" y2="${shownAt(level).toFixed(1)}"/><text class="tick" x="${LEFT - 6}" y="${(shownAt(level) + 4).toFixed(1)}" text-anchor="end">${formatNumber(level, digits)}</text>`);
  const band = range === undefined ? undefined : html`<rect class="range" x="${LEFT}" width="${WIDTH - LEFT - RIGHT}" y="${y(range.high)}" height="${(shownAt(convert(range.low)) - shownAt(convert(range.high))).toFixed(1)}"/>`;
  const entered = settings.map(({ start, label: words }) => ({ day: start / DAY_SECONDS - 0.5, words })).filter(({ day }) => day > from && day < to)
    .map(({ day, words }) => html`<line class="entered" x1="${x(day)}" x2="${x(day)}" y1="${TOP}" y2="${HEIGHT - BOTTOM}"><title>${words}</title></line>`);
  const number = (value: number): string => formatNumber(convert(value), digits + 1);
  const marks = points.map((point, i) => html`<g><title>${`${point.listing.date}: ${number(point.value)} (${number(point.low)} to ${number(point.high)}) ${label}, n = ${point.n}`}</title><line class="interval" x1="${x(days[i] as number)}" x2="${x(days[i] as number)}" y1="${y(point.low)}" y2="${y(point.high)}"/><circle class="day" cx="${x(days[i] as number)}" cy="${y(point.value)}" r="2.5"/></g>`);
  const path = model === undefined ? '' : points.map((_, i) => {
    const [across, up] = [days[i] as number, y(model.expected[i] as number)];
    const lead = i === 0 ? 'M' : model.steps.some(({ index }) => index === i) ? `H${x(across - 0.5)}V${up}L` : 'L';
    return `${lead}${x(across)} ${up}`;
  }).join('');
  const line = model === undefined ? undefined : html`<path class="model ${status}" d="${path}"/>`;
  return html`<svg viewBox="0 0 ${WIDTH} ${HEIGHT}" role="img" aria-label="${`${measurementWords(series.name)} by day`}">${label !== '' && html`<text class="tick" x="${LEFT - 6}" y="${TOP + 6}" text-anchor="end">${label}</text>`}${band}${grid}${entered}${marks}${line}<text class="tick" x="${LEFT}" y="${HEIGHT - 6}">${points[0]?.listing.date}</text><text class="tick" x="${WIDTH - RIGHT}" y="${HEIGHT - 6}" text-anchor="end">${points.at(-1)?.listing.date}</text></svg>`;
}

function padded(values: readonly number[]): readonly [number, number] {
  const [low, high] = [Math.min(...values), Math.max(...values)];
  const room = high > low ? (high - low) * 0.08 : Math.max(1e-9, Math.abs(high) * 0.01);
  return [low - room, high + room];
}
