import { subjectWords } from '../../shared/measure-words.ts';
import { renderText, type UnitSystem } from '../../shared/text.ts';
import { html } from '../handover/papers/markup.ts';
import { SEVERITY_WORDS } from '../handover/papers/words.ts';
import { CAUTION_TITLE, distinct } from './cautions.ts';
import { seriesChart } from './history-chart.ts';
import { byStatus, extentOf, methodSentence, readingOf, shortened, verdictOf } from './history-text.ts';
import { seriesSentences } from './history-words.ts';
import type { History } from './history.ts';
import { changeLine } from './settings-words.ts';
import { titleOf } from './value-words.ts';

const STYLE = `
:root { color-scheme: light dark; --ink: #1b1b1b; --faint: #5c5c5c; --paper: #fff; --grid: #d9d9d9; --subject: #1a5fb4; --moved: #b3261e; --range: #e8eef7; --entered: #7a5b00; }
@media (prefers-color-scheme: dark) { :root { --ink: #ececec; --faint: #b0b0b0; --paper: #1b1b1b; --grid: #444; --subject: #8ab8f5; --moved: #ff9d94; --range: #26303d; --entered: #e0bf5a; } }
body { font: 15px/1.45 system-ui, sans-serif; color: var(--ink); background: var(--paper); margin: 2rem auto; max-width: 1040px; padding: 0 1rem; }
h1 { font-size: 1.3rem; margin-bottom: 0; } h1, h2, p, td { overflow-wrap: anywhere; } .extent { color: var(--faint); margin-bottom: 1rem; } h2 { font-size: 1rem; margin: 0 0 .3rem; } p { margin: .2rem 0; }
.answer { font-weight: 600; } .series { display: grid; grid-template-columns: repeat(auto-fill, minmax(min(100%, 460px), 1fr)); gap: 1.4rem 1.2rem; margin: 1.2rem 0; }
svg { width: 100%; height: auto; display: block; } .tick { font-size: 11px; fill: var(--faint); } .grid { stroke: var(--grid); } .range { fill: var(--range); }
.interval { stroke: var(--subject); stroke-opacity: .55; } .day { fill: var(--subject); } .model { fill: none; stroke: var(--faint); stroke-width: 2; } .model.moved { stroke: var(--moved); stroke-width: 2.5; }
.entered { stroke: var(--entered); stroke-dasharray: 4 3; } table { border-collapse: collapse; } td, th { text-align: left; padding: .15rem .9rem .15rem 0; } .method { color: var(--faint); margin-top: 1.5rem; }
@media print { body { margin: 0; max-width: none; } section { break-inside: avoid; } }`;

/** The season as one page that needs nothing else: small multiples in SVG, no script, no address outside. */
export function historyPage(history: History, units: UnitSystem): string {
  const say = (text: string): string => renderText(text, readingOf(units));
  const marks = history.settings.map(({ listing, changes }) => ({ start: listing.start, label: changes.map((change) => say(changeLine(change))).join('; ') }));
  const series = byStatus(history.series).map((entry) => html`<section><h2>${say(titleOf(entry.series.name, entry.series.subject, entry.series.condition))}</h2>
${seriesChart(entry, marks, units)}
${seriesSentences(entry, units).map((sentence) => html`<p>${say(sentence)}</p>`)}</section>
`);
  const settings = history.settings.flatMap(({ listing, changes }) => changes.map((change) => html`<tr><td>${listing.date}</td><td>${say(changeLine(change))}</td></tr>`));
  const recurring = history.recurring.map(({ code, subject, severity, dates }) => html`<tr><td>${SEVERITY_WORDS[severity]}</td><td>${findingWords(code, subject)}</td><td>${dates.length} of ${history.days.length}</td><td>${shortened(dates)}</td></tr>`);
  const cautions = distinct(history.recurring.flatMap((entry) => entry.cautions)).map(say);
  return `<!doctype html>\n${html`<html lang="en"><head><meta charset="utf-8"/><meta name="viewport" content="width=device-width, initial-scale=1"/>
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'"/>
<title>${history.machine}: season</title><style>${{ markup: STYLE }}</style></head><body>
<h1>${history.machine} over its season</h1>
<p class="extent">${extentOf(history, units)}</p>
<p class="answer">${verdictOf(history)}</p>
<div class="series">${series}</div>
${settings.length > 0 && html`<h2>Entered anew (no drift of the machine); dashed in the charts</h2><table>${settings}</table>`}
${recurring.length > 0 && html`<h2>Came back</h2><table><tr><th>What to do</th><th>Finding</th><th>Days</th><th>Dates</th></tr>${recurring}</table>`}
${cautions.length > 0 && html`<h2>${CAUTION_TITLE}</h2><ul>${cautions.map((caution) => html`<li>${caution}</li>`)}</ul>`}
<p class="method">${methodSentence(history)} Bars are each day’s 95 % interval; the shaded band is where a single day usually lies now (3 standard deviations).</p>
</body></html>`.markup}\n`;
}

/** `run.blocked` of `run.5` → `run 5: blocked`; of the whole field or machine, `coverage: overlap`. */
function findingWords(code: string, subject: string): string {
  const [family = '', kind = ''] = code.split('.');
  const of = subjectWords(subject);
  return `${of === '' ? family : of}: ${kind.replaceAll('-', ' ')}`;
}
