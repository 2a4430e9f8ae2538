import type { ProductSummary } from '../../../shared/day.ts';
import type { RateView } from '../../../shared/day-views.ts';
import { formatNumber, quantity } from '../../../shared/text.ts';
import { html, type Markup } from './markup.ts';
import { sayer, type PaperSource } from './paper.ts';
import { RATE_COLOURS, rateMap } from './pictures/field-chart.ts';
import { groundOf } from './pictures/ground.ts';

/** Where on the field the rate was how far from its target, and on how much ground. */
export function rateZones(product: ProductSummary, over: RateView | undefined, target: number | undefined, { views, reading }: PaperSource): Markup {
  const say = sayer(reading);
  if (over === undefined || over.why !== undefined) return html`<h3>Over the field</h3><p>Cannot tell: ${over?.why === undefined ? 'no rate over time is known for this tank.' : say(over.why)}</p>`;
  const ground = groundOf(views, product.tank, target);
  const all = over.classes.reduce((sum, { area }) => sum + area, 0);
  return html`<div class="keep"><h3>Over the field</h3>
${ground === undefined ? html`<p>Cannot tell where: no position was logged.</p>` : html`<figure>${rateMap(ground, `${product.name ?? `Tank ${product.tank}`} over the field, against its target`, reading)}</figure>`}</div>
${all > 0 && html`<div class="wide" tabindex="0"><table class="keep"><thead><tr><th scope="col">against the target</th><th scope="col" class="number">ground</th><th scope="col" class="number">share</th></tr></thead>
<tbody>${over.classes.map(({ name, area }) => html`<tr><th scope="row">${RATE_COLOURS[name].words}</th><td class="number">${say(quantity.area(area))}</td><td class="number">${formatNumber((area / all) * 100, 1)} %</td></tr>`)}</tbody></table></div>`}
<p class="small">From meter turns, the ${over.massPerTurn?.from ?? 'known'} mass per turn and area by GNSS, 15 s at a time. It shows where the meter hurried or lagged; whether a turn gave what it should, the routes above tell. ${ground !== undefined && 'Drawn at the full width of the machine, also where sections were off.'}</p>`;
}
