import type { ProductSummary, RateStretch } from '../../../shared/day.ts';
import { standingOf, type Route } from '../../../shared/rate-routes.ts';
import type { Interval } from '../../../shared/span.ts';
import { formatNumber, type Reading } from '../../../shared/text.ts';
import { figure, interval } from './figures.ts';
import { html, type Markup } from './markup.ts';
import { fromTo, sayer, shortName, type PaperSource } from './paper.ts';
import { STANDING_WORDS } from './rate-words.ts';

const scaled = ({ value, low, high }: Interval, by: number): Interval => ({ value: value * by, low: low * by, high: high * by });

/** One line for each field; the whole day where the log is not split into fields. */
export function fieldRows(product: ProductSummary, best: Route | undefined, target: number | undefined, { analysis, reading }: PaperSource): Markup {
  const whole = product.appliedKgPerHa ?? (best === undefined ? undefined : scaled(best.rate, 1e4));
  const fields: readonly { readonly name: string; readonly areaHa: number; readonly rate: Interval | undefined }[] = product.fields === undefined || product.fields.length === 0
    ? [{ name: 'whole day', areaHa: analysis.summary.areaHa, rate: whole }]
    : product.fields.map(({ name, areaHa, appliedKgPerHa }) => ({ name, areaHa, rate: appliedKgPerHa }));
  const { units } = reading;
  return html`${fields.map(({ name, areaHa, rate }) => html`<tr data-tank="${product.tank}"><th scope="row">${shortName(product.name ?? `tank ${product.tank}`)}</th><td>${name}</td><td class="number">${figure(areaHa, 'ha', units, 1)}</td>
<td class="number">${target === undefined ? '–' : figure(target * 1e4, 'kg/ha', units, 1)}</td><td class="number wraps" data-field="applied">${rate === undefined ? 'cannot tell' : interval(rate, 'kg/ha', units, 1)}</td>
<td class="number">${off(rate?.value, target === undefined ? undefined : target * 1e4)}</td><td>${rate === undefined || target === undefined ? 'cannot tell' : STANDING_WORDS[standingOf(scaled(rate, 1e-4), target)]}</td></tr>`)}`;
}

/** `+6.1 %`; a dash where there is nothing to compare. */
export function off(value: number | undefined, target: number | undefined): string {
  if (value === undefined || target === undefined || !(target > 0) || !Number.isFinite(value)) return '–';
  const percent = (value / target - 1) * 100;
  return `${percent > 0 ? '+' : ''}${formatNumber(percent, 1)} %`;
}

/** Stretches of the day with their rates. */
export function stretchTable(title: string, stretches: readonly RateStretch[] | undefined, reading: Reading): Markup {
  if (stretches === undefined || stretches.length === 0) return html``;
  const say = sayer(reading);
  return html`<div class="wide" tabindex="0"><table><caption>${title}</caption>
<thead><tr><th scope="col">name</th><th scope="col">when</th><th scope="col" class="number">area</th><th scope="col" class="number">went in (95 % interval)</th></tr></thead>
<tbody>${stretches.map((stretch) => html`<tr><th scope="row">${say(stretch.name)}</th><td>${say(fromTo(stretch))}</td><td class="number">${figure(stretch.areaHa, 'ha', reading.units, 2)}</td><td class="number">${stretch.appliedKgPerHa === undefined ? 'cannot tell' : interval(stretch.appliedKgPerHa, 'kg/ha', reading.units, 1)}</td></tr>`)}</tbody></table></div>`;
}
