import type { Finding } from '../../../shared/finding.ts';
import { measureName } from '../../../shared/measure-words.ts';
import { amounts } from './complaint-verdict.ts';
import { measured } from './figures.ts';
import { html, type Markup } from './markup.ts';
import { fromTo, sayer, type PaperSource } from './paper.ts';
import { evidenceFigure } from './pictures/evidence-figure.ts';
import { groundOf } from './pictures/ground.ts';
import { SEVERITY_WORDS, VERDICT_WORDS } from './words.ts';

/** Every finding with its reasons and its evidence; what is only for information without pictures. */
export function findingPages(source: PaperSource): Markup {
  const { findings } = source.analysis;
  const needsGround = findings.some(({ severity, evidence }) => severity !== 'info' && evidence.some(({ kind }) => kind === 'map'));
  const ground = needsGround ? groundOf(source.views) : undefined;
  /* what two findings share is drawn once */
  const seen = new Map<string, number>();
  const figures = (finding: Finding, number: number): readonly Markup[] => finding.evidence.map((evidence) => {
    const key = JSON.stringify(evidence);
    const before = seen.get(key);
    seen.set(key, before ?? number);
    return before === undefined ? evidenceFigure(evidence, ground, source.reading) : html`<p class="small">“${sayer(source.reading)(evidence.title)}”: as under finding ${before}.</p>`;
  });
  return html`${findings.map((finding, k) => findingPart(finding, k + 1, finding.severity === 'info' ? [] : figures(finding, k + 1), source))}`;
}

function findingPart(finding: Finding, number: number, figures: readonly Markup[], { reading }: PaperSource): Markup {
  const say = sayer(reading);
  const { measure, consequence, cannotTell, consequences = [] } = finding;
  const name = measureName(finding.code);
  return html`<section data-finding="${finding.id}">
<h2>Finding ${number}: ${say(finding.title)}</h2>
<p class="quiet before">${SEVERITY_WORDS[finding.severity]}, ${VERDICT_WORDS[finding.verdict].short}, ${say(fromTo(finding.span))}${finding.episodes.length > 1 && `, ${finding.episodes.length} times`}</p>
<dl class="facts">
<dt>Why</dt><dd>${say(finding.explanation)}</dd>
${measure !== undefined && html`<dt>Measured</dt><dd data-field="measure">${name !== '' && `${name}: `}${measured(measure, reading.units)}</dd>`}
${consequence !== undefined && html`<dt>What it cost</dt><dd>${say(consequence.text)}${amounts(finding, reading.units)}</dd>`}
${consequences.length > 0 && html`<dt>Follows from it</dt><dd>${list(consequences.map(say))}</dd>`}
${finding.excludes.length > 0 && html`<dt>What it is not</dt><dd>${list(finding.excludes.map(say))}</dd>`}
${cannotTell !== undefined && html`<dt>Cannot tell</dt><dd>${say(cannotTell)}</dd>`}
<dt>Channels</dt><dd class="small">${finding.channels.slice(0, 12).join(', ')}${finding.channels.length > 12 && ` and ${finding.channels.length - 12} more`}</dd>
</dl>
${figures}
</section>`;
}

/** A single reason needs no bullet. */
const list = (texts: readonly string[]): Markup => (texts.length === 1 ? html`${texts[0]}` : html`<ul class="bullets">${texts.map((text) => html`<li>${text}</li>`)}</ul>`);
