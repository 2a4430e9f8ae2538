import type { MapEvidence } from '../../../../shared/evidence.ts';
import type { RateClassName } from '../../../../shared/day-views.ts';
import { formatNumber, renderText, type Reading } from '../../../../shared/text.ts';
import { html, type Markup } from '../markup.ts';
import { picture, tenth, WIDTH } from './frame.ts';
import type { Ground } from './ground.ts';

type Place = readonly [east: number, north: number];

export const RATE_COLOURS: Readonly<Record<RateClassName, { readonly colour: string; readonly words: string }>> = {
  under10: { colour: '#5c2208', words: 'more than 10 % under' }, under5: { colour: '#e3a878', words: '5–10 % under' }, within5: { colour: '#dfe6d6', words: 'within 5 %' },
  over5: { colour: '#9fbfdc', words: '5–10 % over' }, over10: { colour: '#0f4a80', words: 'more than 10 % over' },
};
const PLAIN = '#dfe6d6';
const HEIGHT = 300;
const MARGIN = 14;
const METRES_PER_DEGREE = 111_320;

/** Where the rate stood how to its target: the ground sown, coloured, north up, with a scale bar. */
export function rateMap(ground: Ground, title: string, reading: Reading): Markup {
  const sight = sightOf(ground.stretches.flatMap(({ points }) => [...points]), ground.width);
  const used = new Set(ground.stretches.map(({ rate }) => rate));
  const classes = (Object.keys(RATE_COLOURS) as RateClassName[]).filter((name) => used.has(name));
  return html`${picture(sight.height, title, html`${sown(ground, sight)}${scaleBar(sight, reading)}`)}
<ul class="keys">${classes.map((name) => html`<li><svg viewBox="0 0 26 12" aria-hidden="true"><rect x="0.5" y="0.5" width="25" height="11" fill="${RATE_COLOURS[name].colour}" stroke="#a9a9a0"/></svg>${RATE_COLOURS[name].words}</li>`)}</ul>`;
}

/** Where on the field: what the finding names over the ground that was sown. */
export function placesMap(evidence: MapEvidence, ground: Ground | undefined, reading: Reading): Markup {
  const say = (text: string): string => renderText(text, reading);
  const origin = ground?.origin ?? evidence.origin;
  const east = (evidence.origin.longitude - origin.longitude) * METRES_PER_DEGREE * Math.cos((origin.latitude * Math.PI) / 180);
  const north = (evidence.origin.latitude - origin.latitude) * METRES_PER_DEGREE;
  const moved = (points: readonly Place[]): readonly Place[] => points.map(([e, n]) => [e + east, n + north]);
  const areas = evidence.areas.map((each) => ({ ...each, points: moved(each.points) }));
  const lines = evidence.lines.map((each) => ({ ...each, points: moved(each.points) }));
  const sight = sightOf([...(ground?.stretches ?? []).flatMap(({ points }) => [...points]), ...[...areas, ...lines].flatMap(({ points }) => [...points])], ground?.width ?? 2);
  const labels = [...new Set([...areas, ...lines].filter(({ role }) => role === 'subject').map(({ label }) => say(label)))];
  const more = labels.length > 4 ? ` and ${labels.length - 4} more` : '';
  return html`${picture(sight.height, `${say(evidence.title)}. North is up.`, html`${ground !== undefined && sown({ ...ground, stretches: ground.stretches.map(({ points }) => ({ points })) }, sight)}
${areas.map(({ role, points }) => html`<path d="${pathOf(points, sight)}Z" fill="${role === 'subject' ? '#a8321a' : PLAIN}" fill-opacity="${role === 'subject' ? 0.35 : 1}" stroke="${role === 'subject' ? '#a8321a' : '#a9a9a0'}" stroke-width="1.2"/>`)}
${lines.map(({ role, points }) => html`<path d="${pathOf(points, sight)}" fill="none" stroke="${role === 'subject' ? '#a8321a' : '#545b68'}" stroke-width="${role === 'subject' ? 1.8 : 0.8}"/>`)}
${scaleBar(sight, reading)}`)}
<ul class="keys"><li><svg viewBox="0 0 26 12" aria-hidden="true"><line x1="0" x2="26" y1="6" y2="6" stroke="#a8321a" stroke-width="3"/></svg>${labels.slice(0, 4).join('; ')}${more}</li>${ground !== undefined && html`<li><svg viewBox="0 0 26 12" aria-hidden="true"><rect width="26" height="12" fill="${PLAIN}"/></svg>ground sown that day</li>`}</ul>`;
}

interface Sight {
  readonly x: (east: number) => number;
  readonly y: (north: number) => number;
  /** Units of the picture per metre. */
  readonly scale: number;
  readonly height: number;
}

function sightOf(points: readonly Place[], width: number): Sight {
  let [west, east, south, north] = [Infinity, -Infinity, Infinity, -Infinity];
  for (const [e, n] of points) [west, east, south, north] = [Math.min(west, e), Math.max(east, e), Math.min(south, n), Math.max(north, n)];
  if (west > east) [west, east, south, north] = [0, 1, 0, 1];
  const half = width / 2;
  const [wide, high] = [east - west + width, north - south + width];
  const scale = Math.min((WIDTH - 2 * MARGIN) / wide, (HEIGHT - 2 * MARGIN) / high);
  const height = Math.max(120, Math.round(high * scale + 2 * MARGIN));
  const [left, below] = [(WIDTH - wide * scale) / 2, height - (height - high * scale) / 2];
  return { scale, height, x: (e) => left + (e - west + half) * scale, y: (n) => below - (n - south + half) * scale };
}

const pathOf = (points: readonly Place[], { x, y }: Sight): string => `M${points.map(([e, n]) => `${tenth(x(e))} ${tenth(y(n))}`).join('L')}`;

/** The ground as strokes as wide as the machine; one path for each colour. */
function sown(ground: Ground, sight: Sight): Markup {
  const byColour = new Map<string, string>();
  for (const { points, rate } of ground.stretches) {
    const colour = rate === undefined ? PLAIN : RATE_COLOURS[rate].colour;
    byColour.set(colour, `${byColour.get(colour) ?? ''}${pathOf(points, sight)}`);
  }
  return html`${[...byColour].map(([colour, path]) => html`<path d="${path}" fill="none" stroke="${colour}" stroke-width="${tenth(Math.max(0.8, ground.width * sight.scale * 0.94))}"/>`)}`;
}

function scaleBar(sight: Sight, { units }: Reading): Markup {
  const perMetre = units === 'us' ? 1 / 0.3048 : 1;
  const wanted = (120 / sight.scale) * perMetre;
  const power = 10 ** Math.floor(Math.log10(wanted));
  const length = ([5, 2, 1].find((step) => step * power <= wanted) ?? 1) * power;
  const drawn = tenth((length / perMetre) * sight.scale);
  const y = sight.height - 8;
  return html`<path d="M8 ${y - 5}V${y}H${8 + drawn}V${y - 5}" fill="none" stroke="#1a1f28" stroke-width="1.5"/><text x="${14 + drawn}" y="${y + 2}" stroke="#ffffff" stroke-width="3" paint-order="stroke">${formatNumber(length, 0)} ${units === 'us' ? 'ft' : 'm'}</text>
<path d="M${WIDTH - 16} 30V10M${WIDTH - 21} 17L${WIDTH - 16} 9L${WIDTH - 11} 17" fill="none" stroke="#1a1f28" stroke-width="1.5"/><text x="${WIDTH - 16}" y="43" text-anchor="middle" stroke="#ffffff" stroke-width="3" paint-order="stroke">N</text>`;
}
