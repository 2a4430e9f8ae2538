import type { ProductSummary } from '../../../shared/day.ts';
import type { RateView } from '../../../shared/day-views.ts';
import { quantity } from '../../../shared/text.ts';
import { routesOf, standingOf } from '../../../shared/rate-routes.ts';
import { cautionList, cautionsOf } from './caution-list.ts';
import { html, type Markup } from './markup.ts';
import { capital, fromTo, sayer, shortName, type PaperSource } from './paper.ts';
import { fieldRows, stretchTable } from './rate-fields.ts';
import { rateZones } from './rate-zones.ts';
import { routeTable } from './rate-routes-table.ts';
import { sheet } from './sheet.ts';
import { STANDING_WORDS } from './rate-words.ts';

/** Findings that say something about how much went in. */
const BEARS_ON_RATE = /^(?:rate|speed|scale|tank|coverage\.width)/;

/** The rate check: for the agronomist; per product and field the target, every route to the rate, and a verdict with a guard band. */
export function ratePaper(source: PaperSource): string {
  const { analysis, reading } = source;
  const { products } = analysis.summary;
  const over = source.views.rates();
  const bearing = analysis.findings.filter(({ code, severity }) => severity !== 'info' && BEARS_ON_RATE.test(code));
  const viewOf = (tank: string): RateView | undefined => over.find((view) => view.tank === tank);
  return sheet(source, 'Rate check', 'what went into the ground, by every way of knowing it', [
    html`<h1>${headline(source, viewOf)}</h1>`,
    products.length === 0
      ? html`<p>Cannot tell: neither setup nor log says what was in which tank. With a product, its tank and its target in setup.json this paper can be made.</p>`
      : html`<section>${glance(source, viewOf)}${guard(source)}</section>`,
    html`${products.map((product) => productPart(product, viewOf(product.tank), source))}`,
    html`${bearing.length > 0 && html`<section><h2>Findings that bear on these rates</h2>
<div class="wide" tabindex="0"><table><thead><tr><th scope="col">no.</th><th scope="col">finding</th><th scope="col">when</th><th scope="col">the check that decides</th></tr></thead><tbody>${bearing.map((finding) => html`<tr><td>${analysis.findings.indexOf(finding) + 1}</td><th scope="row">${sayer(reading)(finding.title)}</th><td>${sayer(reading)(fromTo(finding.span))}</td><td>${sayer(reading)(finding.decidingCheck)}</td></tr>`)}</tbody></table></div></section>`}`,
    cautionList(cautionsOf(bearing), sayer(reading)),
  ]);
}

const nameOf = ({ name, tank }: ProductSummary): string => capital(shortName(name ?? `tank ${tank}`));
const targetOf = (product: ProductSummary, over: RateView | undefined): number | undefined => (product.targetKgPerHa === undefined ? over?.target : product.targetKgPerHa * 1e-4);

function headline({ analysis, reading }: PaperSource, viewOf: (tank: string) => RateView | undefined): string {
  const { products } = analysis.summary;
  if (products.length === 0) return 'No product is known, so no rate can be told.';
  const sentences = products.map((product) => {
    const over = viewOf(product.tank);
    const best = routesOf(product, over).find(({ hasInterval }) => hasInterval);
    if (best === undefined) return `${nameOf(product)}: the rate cannot be told`;
    const target = targetOf(product, over);
    const standing = target === undefined ? 'no target is known' : STANDING_WORDS[standingOf(best.rate, target)];
    return `${nameOf(product)}: ${quantity.rate(best.rate.value)}, ${standing}`;
  });
  return `${sayer(reading)(sentences.join('; '))}.`;
}

/** Field by field and product by product, as it goes into a trial file. */
function glance(source: PaperSource, viewOf: (tank: string) => RateView | undefined): Markup {
  const { analysis } = source;
  return html`<div class="wide" tabindex="0"><table>
<thead><tr><th scope="col">product</th><th scope="col">field</th><th scope="col" class="number">area</th><th scope="col" class="number">target</th><th scope="col" class="number">went in (95 % interval)</th><th scope="col" class="number">from target</th><th scope="col">verdict</th></tr></thead>
<tbody>${analysis.summary.products.map((product) => {
    const over = viewOf(product.tank);
    return fieldRows(product, routesOf(product, over).find(({ hasInterval }) => hasInterval), targetOf(product, over), source);
  })}</tbody></table></div>`;
}

const guard = ({ analysis }: PaperSource): Markup => html`<p class="small">Guard band: “within 5 %” and “outside” are said only where the whole 95 % interval lies on that side of the line; where it lies across, the verdict is “cannot tell”.${analysis.summary.products.every(({ fields }) => fields === undefined) && ' The log is not split into fields: the whole day counts as one.'}</p>`;

function productPart(product: ProductSummary, over: RateView | undefined, source: PaperSource): Markup {
  const { reading, setup } = source;
  const say = sayer(reading);
  const target = targetOf(product, over);
  const routes = routesOf(product, over);
  const { dispensedKg: out } = product;
  const seedMass = setup.job.products.find(({ tank }) => tank === product.tank)?.seedMass;
  const best = routes.find(({ hasInterval }) => hasInterval);
  const seeds = seedMass === undefined || best === undefined ? undefined
    : `By the seed weight of the job sheet that is ${quantity.seedsPerArea(best.rate.value / seedMass)} put down (${quantity.seedsPerArea(best.rate.low / seedMass)} to ${quantity.seedsPerArea(best.rate.high / seedMass)}, if that seed weight holds).`;
  return html`<section data-product="${product.tank}">
<h2>${nameOf(product)} <span class="quiet">from tank ${product.tank}</span></h2>
<p>${out === undefined ? 'How much left the tank cannot be told.' : say(`${quantity.mass(out.value)} left the tank (${quantity.mass(out.low)} to ${quantity.mass(out.high)}).`)} ${seeds !== undefined && say(seeds)}</p>
${routeTable(product, routes, target, source)}
${stretchTable('By fill', product.fills, reading)}
${rateZones(product, over, target, source)}
</section>`;
}
