import { measurementWords, subjectWords } from '../../../shared/measure-words.ts';
import { formatNumber } from '../../../shared/text.ts';
import { interval } from './figures.ts';
import { html, type Markup } from './markup.ts';
import type { PaperSource } from './paper.ts';

/** What the day allowed to be measured; sections and towers one by one stay in the findings document. */
export function measurementTable({ analysis, reading }: PaperSource): Markup {
  const rows = analysis.measurements.filter(({ subject }) => !/^(?:section|tower)\./.test(subject));
  if (rows.length === 0) return html``;
  return html`<section><h2>Measured that day</h2>
<div class="wide" tabindex="0"><table><thead><tr><th scope="col">what</th><th scope="col">of</th><th scope="col" class="number">value (95 % interval)</th><th scope="col" class="number">from</th></tr></thead>
<tbody>${rows.map((entry) => html`<tr data-measurement="${entry.name} ${entry.subject}"><th scope="row">${measurementWords(entry.name)}</th><td>${subjectWords(entry.subject)}</td><td class="number">${interval(entry, entry.unit, reading.units)}</td><td class="number">${formatNumber(entry.n, 0)}</td></tr>`)}</tbody></table></div>
<p class="small">“From” counts the independent stretches, fills or switchings behind a value.</p></section>`;
}
