import type { ProductSummary } from '../../../shared/day.ts';
import { figure, interval } from './figures.ts';
import { html, type Markup } from './markup.ts';
import { fromTo, sayer, shortName, type PaperSource } from './paper.ts';

/** The day in three lines: when, how much ground, what went in. */
export function dayFacts({ analysis, reading }: PaperSource): Markup {
  const { summary, day } = analysis;
  const say = sayer(reading);
  return html`<p>Recorded ${say(fromTo({ start: 0, end: day.duration }))}; ${summary.areaHa > 0 ? html`<span data-day="areaHa">${figure(summary.areaHa, 'ha', reading.units, 1)}</span> worked in` : 'no ground measured (it takes work, GNSS and the working width);'} <span data-day="workingHours">${figure(summary.workingHours, 'h', reading.units, 1)}</span>${summary.areaHa > 0 ? '' : ' of work done'}. ${summary.products.map((product) => went(product, reading.units))}</p>`;
}

function went({ tank, name, appliedKgPerHa: applied, targetKgPerHa: target }: ProductSummary, units: PaperSource['reading']['units']): Markup {
  return html`Tank ${tank}${name !== undefined && ` (${shortName(name)})`}: ${applied === undefined ? 'the rate cannot be told' : html`<span data-applied="${tank}">${interval(applied, 'kg/ha', units, 1)}</span> went in`}${target !== undefined && html`, target ${figure(target, 'kg/ha', units, 1)}`}. `;
}
