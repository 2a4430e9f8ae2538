import { isInstant, type Evidence, type TableEvidence } from '../../../../shared/evidence.ts';
import { formatClock, formatNumber, renderText, shownUnit, type Reading } from '../../../../shared/text.ts';
import { html, type Markup } from '../markup.ts';
import { placesMap } from './field-chart.ts';
import type { Ground } from './ground.ts';
import { histogramChart } from './histogram-chart.ts';
import { runsChart } from './runs-chart.ts';
import { traceChart } from './trace-chart.ts';
import { xyChart } from './xy-chart.ts';

/** Longer tables are cut on paper, and say so: what they prove stands in the picture and in the findings document. */
const MOST_ROWS = 16;

/** One switch over the kinds of evidence; a new detector needs no new figure. */
export function evidenceFigure(evidence: Evidence, ground: Ground | undefined, reading: Reading): Markup {
  if (evidence.kind === 'table') return evidenceTable(evidence, reading);
  return html`<figure><figcaption>${renderText(evidence.title, reading)}</figcaption>${drawn(evidence, ground, reading)}</figure>`;
}

function drawn(evidence: Exclude<Evidence, TableEvidence>, ground: Ground | undefined, reading: Reading): Markup {
  switch (evidence.kind) {
    case 'trace': return traceChart(evidence, reading);
    case 'xy': return xyChart(evidence, reading);
    case 'histogram': return histogramChart(evidence, reading);
    case 'runs': return runsChart(evidence, reading);
    case 'map': return placesMap(evidence, ground, reading);
  }
}

function evidenceTable(evidence: TableEvidence, reading: Reading): Markup {
  const columns = evidence.columns.map((column) => ({ ...column, ...headOf(column, reading) }));
  const isNumber = (column: number): boolean => evidence.rows.some((row) => typeof row[column] === 'number');
  const cell = (value: string | number | null | undefined, k: number): string => {
    if (value === null || value === undefined) return '–';
    if (typeof value === 'number' && columns[k]?.isClock === true) return formatClock(value, reading);
    return typeof value === 'string' ? renderText(value, reading) : formatNumber(columns[k]?.shown.convert(value) ?? value, columns[k]?.digits ?? 2);
  };
  const left = evidence.rows.length - MOST_ROWS;
  const rows = left > 2 ? evidence.rows.slice(0, MOST_ROWS) : evidence.rows;
  return html`<div class="wide" tabindex="0"><table>
<caption>${renderText(evidence.title, reading)}</caption>
<thead><tr>${columns.map(({ label, shown }, k) => html`<th scope="col"${k > 0 && isNumber(k) && html` class="number wraps"`}>${renderText(label, reading)}${shown.label !== '' && `, ${shown.label}`}</th>`)}</tr></thead>
<tbody>${rows.map((row) => html`<tr>${columns.map((_, k) => (k === 0 ? html`<th scope="row">${cell(row[k], k)}</th>` : html`<td${isNumber(k) && html` class="number"`}>${cell(row[k], k)}</td>`))}</tr>`)}</tbody>
</table></div>${left > 2 && html`<p class="small">The first ${MOST_ROWS} of ${evidence.rows.length} rows; the viewer shows them all.</p>`}`;
}

function headOf(column: TableEvidence['columns'][number], { units }: Reading): { readonly shown: { readonly label: string; readonly convert: (si: number) => number }; readonly isClock: boolean } {
  const isClock = isInstant(column);
  return { isClock, shown: isClock ? { label: '', convert: (value) => value } : shownUnit(column.unit ?? '', units) };
}
