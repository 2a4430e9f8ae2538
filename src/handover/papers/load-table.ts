import { fromSi } from '../../../shared/units.ts';
import type { Interval } from '../../../shared/span.ts';
import { formatNumber, quantity } from '../../../shared/text.ts';
import { figure, interval } from './figures.ts';
import { html, type Markup } from './markup.ts';
import { sayer, shortName, type PaperSource } from './paper.ts';
import { emptyAfter, loadFor, tankStocks, type TankStock } from './tank-loads.ts';

/** Sizes that a list without a stated area is printed for: ha, and acres of about the same size. */
const SIZES = { metric: [10, 20, 40, 60, 80], us: [25, 50, 100, 150, 200] } as const;
const SQUARE_METRES = { metric: 1e4, us: 4046.8564224 } as const;

/** What to load so that each tank runs empty where the work ends. */
export function loadTable(source: PaperSource): Markup {
  const stocks = tankStocks(source.analysis, source.setup);
  if (stocks.length === 0) return html`<section><h2>What to load</h2><p>Cannot tell: neither setup nor log says what is in which tank.</p></section>`;
  const known = stocks.filter((stock): stock is Known => stock.rate !== undefined);
  const { area } = source;
  return html`<section><h2>What to load${area !== undefined && html` for ${figure(area / 1e4, 'ha', source.reading.units, 1)}`}</h2>
${known.length > 0 && (area === undefined ? bySize(known, source) : forArea(known, area, source))}
${notes(stocks, source)}</section>`;
}

type Known = TankStock & { readonly rate: Interval };

const nameOf = ({ tank, name }: TankStock): Markup => html`Tank ${tank}${name !== undefined && html` <span class="quiet">${shortName(name)}</span>`}`;
const perHa = (rate: Interval): Interval => ({ value: rate.value * 1e4, low: rate.low * 1e4, high: rate.high * 1e4 });
const hectares = (area: Interval): Interval => ({ value: area.value / 1e4, low: area.low / 1e4, high: area.high / 1e4 });

function forArea(stocks: readonly Known[], area: number, { reading }: PaperSource): Markup {
  const { units } = reading;
  return html`<div class="wide" tabindex="0"><table>
<thead><tr><th scope="col">tank</th><th scope="col" class="number wraps">put down today, per ${units === 'us' ? 'acre' : 'hectare'}</th><th scope="col" class="number wraps">still in it</th><th scope="col" class="number">load</th><th scope="col" class="number wraps">then empty after</th></tr></thead>
<tbody>${stocks.map((stock) => {
    const load = loadFor(area, stock.rate, stock.left);
    return html`<tr data-load="${stock.tank}"><th scope="row">${nameOf(stock)}</th><td class="number wraps">${interval(perHa(stock.rate), 'kg/ha', units, 1)}</td><td class="number wraps">${stock.left === undefined ? 'cannot tell' : interval(stock.left, 'kg', units, 0)}</td>
<td class="number wraps strong" data-field="load">${load.value === 0 ? 'nothing' : interval(load, 'kg', units, 0)}</td><td class="number wraps">${interval(hectares(emptyAfter(load.value, stock.rate, stock.left)), 'ha', units, 1)}</td></tr>`;
  })}</tbody></table></div>`;
}

function bySize(stocks: readonly Known[], { reading }: PaperSource): Markup {
  const { units } = reading;
  const sizes = SIZES[units];
  const unit = units === 'us' ? 'lb' : 'kg';
  const shown = (kg: number): string => formatNumber(fromSi(kg, unit) ?? kg, 0);
  return html`<div class="wide" tabindex="0"><table>
<thead><tr><th scope="col">${unit} to load for</th><th scope="col" class="number wraps">still in it</th>${sizes.map((size) => html`<th scope="col" class="number">${size} ${units === 'us' ? 'ac' : 'ha'}</th>`)}</tr></thead>
<tbody>${stocks.map((stock) => html`<tr data-load="${stock.tank}"><th scope="row">${nameOf(stock)}</th><td class="number">${stock.left === undefined ? 'cannot tell' : shown(stock.left.value)}</td>${sizes.map((size) => {
    const load = loadFor(size * SQUARE_METRES[units], stock.rate, stock.left);
    return html`<td class="number">${load.value === 0 ? html`nothing` : html`<span class="strong"><data value="${load.value}">${shown(load.value)}</data></span><br/><span class="quiet">${shown(load.low)}–${shown(load.high)}</span>`}</td>`;
  })}</tr>`)}</tbody></table></div>
<p class="small">For another area print this list again with it: beside its button in the viewer, or --hectares N.</p>`;
}

/** What the numbers rest on, and when not to trust them. */
function notes(stocks: readonly TankStock[], { analysis, reading, area }: PaperSource): Markup {
  const say = sayer(reading);
  const number = (finding: TankStock['changing'][number]): number => analysis.findings.indexOf(finding) + 1;
  const texts = stocks.flatMap((stock): readonly string[] => {
    const who = `Tank ${stock.tank}`;
    const { rate, left, scale, corrected, capacity } = stock;
    if (rate === undefined) return [`${who}: cannot tell what to load; no rate could be measured. A weigh ticket or a scale that holds for the day would do.`];
    const load = area === undefined ? undefined : loadFor(area, rate, left).value;
    const most = (load ?? 0) + (left?.value ?? 0);
    return [
      ...(left === undefined && scale !== undefined ? [`${who}: its scale is not trusted (${scale.finding.title}); the load is for an empty tank. Take off what you see in it.`] : []),
      ...(left === undefined && scale === undefined ? [`${who}: what is in it cannot be told from the log; the load is for an empty tank. Take off what you see in it.`] : []),
      ...(left !== undefined && scale?.mended === true ? [`${who}: what is in it is reckoned with its scale mended (${scale.finding.title}). Look before you rely on it.`] : []),
      ...(load !== undefined && capacity !== undefined && most > capacity ? [`${who} holds ${quantity.mass(capacity)}: load in ${Math.ceil(most / capacity)} fills.`] : []),
      ...(corrected !== undefined ? [`${who}: once the wheel constant is corrected about ${quantity.rate(corrected.value)} goes in instead (${quantity.rate(corrected.low)} to ${quantity.rate(corrected.high)})${area === undefined ? '' : `; then load ${quantity.mass(loadFor(area, corrected, left).value)}`}.`] : []),
      ...(corrected === undefined && stock.changing.length > 0 ? [`${who}: its rate changes when finding ${stock.changing.map(number).join(' and ')} of the complaint file is put right. Measure again after the first fill.`] : []),
    ];
  });
  const how = `By the rate really applied today, with today’s settings, and what the scale says is left at the end of the log. ${area === undefined ? 'Below each load' : 'In brackets'} the 95 % interval.`;
  return html`<ul class="bullets">${texts.map((text) => html`<li>${say(text)}</li>`)}</ul><p class="small">${how} Weigh what you load.</p>`;
}
