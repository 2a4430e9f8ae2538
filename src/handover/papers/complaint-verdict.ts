import type { Finding } from '../../../shared/finding.ts';
import { measureName } from '../../../shared/measure-words.ts';
import { counted } from '../../../shared/verdict.ts';
import { figure, measured } from './figures.ts';
import { html, type Markup } from './markup.ts';
import { capital, fromTo, sayer, type PaperSource } from './paper.ts';
import { SEVERITY_WORDS, VERDICT_WORDS } from './words.ts';

/** What else fits on page one beside the first finding and the cautions. */
const MOST_FURTHER = 3;

/** The heaviest finding, which the verdict names. */
export function mainFinding({ analysis }: PaperSource): Finding | undefined {
  return analysis.findings.find(({ severity }) => severity === 'action') ?? analysis.findings.find(({ severity }) => severity === 'watch');
}

/** The verdict on one page: the heaviest finding in full, the others in a line each. */
export function verdictPage(source: PaperSource): Markup {
  const { findings } = source.analysis;
  const grave = findings.filter(({ severity }) => severity !== 'info');
  const first = mainFinding(source);
  if (first === undefined) return html`<p>Nothing of what was looked at is wrong. What could not be looked at, and why, stands under “What the log cannot tell”; what was looked at under “Checks made, nothing wrong”.</p>`;
  const further = grave.filter((finding) => finding !== first);
  return html`${firstFinding(first, source)}${further.length > 0 && furtherList(further, source)}`;
}

function firstFinding(finding: Finding, { reading, analysis }: PaperSource): Markup {
  const say = sayer(reading);
  const { measure, correction, cannotTell } = finding;
  const times = finding.episodes.length > 1 ? `, ${finding.episodes.length} times` : '';
  const name = measureName(finding.code);
  return html`<dl class="facts" data-verdict="${finding.id}">
<dt>What is wrong</dt><dd><strong>${say(finding.title)}</strong> <span class="quiet">(finding ${analysis.findings.indexOf(finding) + 1}: ${SEVERITY_WORDS[finding.severity]})</span></dd>
<dt>Since when</dt><dd>${say(fromTo(finding.span))}${times}</dd>
<dt>How sure</dt><dd>${VERDICT_WORDS[finding.verdict].long}${measure !== undefined && html` <span data-field="measure">${name === '' ? 'Measured' : name}: ${measured(measure, reading.units)}.</span>`}</dd>
<dt>What it cost</dt><dd>${cost(finding, say)}${amounts(finding, reading.units)}</dd>
<dt>Setting</dt><dd>${correction === undefined ? 'No setting to correct follows from the log.' : html`${correction.setting}: found <strong>${correction.old}</strong> → correct <strong>${correction.new}</strong>`}</dd>
${cannotTell !== undefined && html`<dt>Cannot tell</dt><dd>${say(cannotTell)}</dd>`}
</dl>
<div class="box"><p>The check that decides</p><p>${say(finding.decidingCheck)}</p></div>`;
}

const cost = (finding: Finding, say: (text: string) => string): string => (finding.consequence === undefined ? 'Cannot tell: the log gives no area or mass for it.' : say(finding.consequence.text));

/** Hectares and kilograms as figures; more went in is +, less is −. */
export function amounts(finding: Finding, units: PaperSource['reading']['units']): Markup {
  const { areaHa, massKg } = finding.consequence ?? {};
  const area = areaHa === undefined ? undefined : html`<span data-field="areaHa">Ground concerned: ${figure(areaHa, 'ha', units, areaHa < 10 ? 2 : 1)}</span>`;
  const mass = massKg === undefined ? undefined : html`<span data-field="massKg">product: ${massKg > 0 && '+'}${figure(massKg, 'kg', units, 0)} (${massKg < 0 ? 'less' : 'more'} than intended)</span>`;
  if (area === undefined && mass === undefined) return html``;
  return html` <span class="amounts">${area}${area !== undefined && mass !== undefined && '; '}${mass}</span>`;
}

/** A line or two each: page one is the verdict's, their own pages follow. */
function furtherList(further: readonly Finding[], { reading, analysis }: PaperSource): Markup {
  const say = sayer(reading);
  const left = further.length - MOST_FURTHER;
  const shown = left > 1 ? further.slice(0, MOST_FURTHER) : further;
  return html`<h3>Also found</h3>
<ul class="plain further">${shown.map((finding) => {
    const { correction } = finding;
    const { areaHa, massKg } = finding.consequence ?? {};
    return html`<li><span class="strong">${analysis.findings.indexOf(finding) + 1}. ${say(finding.title)}</span> <span class="quiet">(${SEVERITY_WORDS[finding.severity]}, ${VERDICT_WORDS[finding.verdict].short}, ${say(fromTo(finding.span))}${areaHa !== undefined && html`; ${figure(areaHa, 'ha', reading.units, areaHa < 10 ? 2 : 1)}`}${massKg !== undefined && html`; ${massKg > 0 && '+'}${figure(massKg, 'kg', reading.units, 0)}`})</span>${correction !== undefined && html` ${correction.setting}: ${correction.old} → <strong>${correction.new}</strong>`}</li>`;
  })}</ul>${left > 1 && html`<p class="small">${capital(counted(left, 'further finding'))} on the pages that follow.</p>`}`;
}
