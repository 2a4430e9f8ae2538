import type { ProductSummary } from '../../../shared/day.ts';
import { TOLERANCE, standingOf, type Route } from '../../../shared/rate-routes.ts';
import type { Setup } from '../../../shared/setup.ts';
import { shownUnit } from '../../../shared/text.ts';
import { figure, interval } from './figures.ts';
import { html, type Markup } from './markup.ts';
import type { PaperSource } from './paper.ts';
import { numberTicks } from './pictures/axis.ts';
import { picture, tenth, WIDTH } from './pictures/frame.ts';
import { off } from './rate-fields.ts';

/** Every route to the rate against the target; those the day does not allow, with what would open them. */
export function routeTable(product: ProductSummary, routes: readonly Route[], target: number | undefined, { reading, setup }: PaperSource): Markup {
  const { units } = reading;
  const missing = missingRoutes(product, routes, setup);
  return html`${routes.length > 0 && whiskers(routes, target, units)}
<div class="wide" tabindex="0"><table>
<thead><tr><th scope="col">no.</th><th scope="col">route: product by</th><th scope="col">over area by</th><th scope="col" class="number">rate (95 % interval)</th><th scope="col" class="number">from target</th><th scope="col">within 5 %?</th></tr></thead>
<tbody>${routes.map((route, k) => html`<tr data-route="${route.mass}"><td>${k + 1}</td><th scope="row">${route.mass}${route.blindTo !== undefined && html`<br/><span class="quiet">blind to ${route.blindTo}</span>`}</th><td>${route.area}</td>
<td class="number wraps">${route.hasInterval ? interval({ value: route.rate.value * 1e4, low: route.rate.low * 1e4, high: route.rate.high * 1e4 }, 'kg/ha', units, 1) : html`${figure(route.rate.value * 1e4, 'kg/ha', units, 1)} <span class="quiet">(interval not known)</span>`}</td>
<td class="number">${off(route.rate.value, target)}</td><td>${!route.hasInterval || target === undefined ? 'cannot tell' : SHORT[standingOf(route.rate, target)]}</td></tr>`)}
${missing.map(({ mass, needs }) => html`<tr><td></td><th scope="row">${mass}</th><td colspan="4">cannot tell: ${needs}</td></tr>`)}</tbody>
</table></div>`;
}

const SHORT = { 'within': 'yes', 'under': 'no, under', 'over': 'no, over', 'cannot tell': 'cannot tell' } as const;

/** The ways of knowing how much product went in, and what each needs (trade.md a.2). */
function missingRoutes(product: ProductSummary, routes: readonly Route[], setup: Setup): readonly { readonly mass: string; readonly needs: string }[] {
  const isCounted = setup.job.products.find(({ tank }) => tank === product.tank)?.counted === true;
  const known = (words: RegExp): boolean => routes.some(({ mass }) => words.test(mass));
  return [
    ...(known(/scale/) ? [] : [{ mass: 'tank scale', needs: `a logged weight of tank ${product.tank} that holds through the day` }]),
    ...(known(/ticket/) ? [] : [{ mass: 'weigh tickets', needs: 'a ticket for every load of the day in the setup, and the tank seen empty or weighed at both ends' }]),
    ...(known(/turn/) ? [] : [{ mass: 'meter turns', needs: 'logged turns of its meter, and a mass per turn in the setup or from a catch test' }]),
    ...(known(/count/) || !isCounted ? [] : [{ mass: 'run counts', needs: 'counts at the runs with a known share of seeds seen, and the seed weight in the setup' }]),
  ];
}

const ROW = 17;
const LEFT = 34;
const RIGHT = 14;

/** The routes on one scale round the target; the band is ±5 %. */
function whiskers(routes: readonly Route[], target: number | undefined, units: PaperSource['reading']['units']): Markup {
  const { convert, label } = shownUnit('kg/m²', units);
  const all = routes.flatMap(({ rate }) => [rate.low, rate.high]).concat(target === undefined ? [] : [target * (1 - 1.5 * TOLERANCE), target * (1 + 1.5 * TOLERANCE)]).filter(Number.isFinite).map(convert);
  const [least, most] = [Math.min(...all), Math.max(...all)];
  const spare = (most - least) * 0.05 || most * 0.05 || 1;
  const [from, to] = [least - spare, most + spare];
  const x = (rate: number): number => tenth(LEFT + ((convert(rate) - from) / (to - from)) * (WIDTH - LEFT - RIGHT));
  const top = target === undefined ? 4 : 18;
  const bottom = top + routes.length * ROW;
  const ticks = numberTicks(from, to, 8);
  const place = (shown: number): number => tenth(LEFT + ((shown - from) / (to - from)) * (WIDTH - LEFT - RIGHT));
  return html`<figure>${picture(bottom + 20, `The rate by each route, ${label}`, html`
${target !== undefined && html`<rect x="${x(target * (1 - TOLERANCE))}" y="${top}" width="${tenth(x(target * (1 + TOLERANCE)) - x(target * (1 - TOLERANCE)))}" height="${bottom - top}" fill="#dfe6d6"/><line x1="${x(target)}" x2="${x(target)}" y1="${top}" y2="${bottom}" stroke="#3f6f52" stroke-width="1.5"/><text x="${x(target)}" y="12" text-anchor="middle">target ± 5 %</text>`}
${ticks.at.map((tick) => html`<line x1="${place(tick)}" x2="${place(tick)}" y1="${bottom}" y2="${bottom + 4}" stroke="#545b68"/><text x="${place(tick)}" y="${bottom + 16}" text-anchor="middle">${ticks.label(tick)}</text>`)}
<line x1="${LEFT}" x2="${WIDTH - RIGHT}" y1="${bottom}" y2="${bottom}" stroke="#545b68"/><text x="0" y="${bottom + 16}">${label}</text>
${routes.map(({ rate, hasInterval }, k) => {
    const y = top + k * ROW + ROW / 2;
    return html`<text x="${LEFT - 12}" y="${y + 4}" text-anchor="end">${k + 1}</text>${hasInterval && html`<path d="M${x(rate.low)} ${y}H${x(rate.high)}M${x(rate.low)} ${y - 4}v8M${x(rate.high)} ${y - 4}v8" stroke="#0072b2" stroke-width="1.8" fill="none"/>`}<circle cx="${x(rate.value)}" cy="${y}" r="3.4" fill="${hasInterval ? '#0072b2' : '#ffffff'}" stroke="#0072b2" stroke-width="1.5"/>`;
  })}`)}<p class="small">Filled: measured, with its 95 % interval. Hollow: what the meter claims. The numbers are those of the table.</p></figure>`;
}
