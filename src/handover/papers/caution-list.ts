import type { Finding } from '../../../shared/finding.ts';
import { html, type Markup } from './markup.ts';

const DEFER = 'The operator\'s manual, local rules and trained service people come first. What stands here reminds; it is no safety procedure.';

/** The cautions of all these findings, each once and in their order: a warning that is repeated is not read. */
export function cautionsOf(findings: readonly Finding[]): readonly string[] {
  return [...new Set(findings.flatMap(({ cautions }) => cautions))];
}

/** The place of a paper where its cautions stand; lettered, so that a line can point at them. */
export function cautionList(cautions: readonly string[], say: (text: string) => string): Markup {
  return html`<section class="cautions">
<p class="title before">Before anyone goes to the machine</p>
<p>${DEFER}</p>
${lettered(cautions, 0, say)}
</section>`;
}

/** Those cautions of a paper that stand further on, with the letters that follow. */
export function furtherCautions(cautions: readonly string[], before: number, say: (text: string) => string): Markup {
  if (cautions.length === before) return html``;
  return html`<section class="cautions"><p class="title before">Further cautions</p>${lettered(cautions.slice(before), before, say)}</section>`;
}

/** Below this many they stand under one another. */
const MANY = 4;

function lettered(cautions: readonly string[], from: number, say: (text: string) => string): Markup {
  if (cautions.length === 0) return html``;
  return html`<ul class="${cautions.length > MANY ? 'plain many' : 'plain'}">${cautions.map((caution, k) => html`<li><span class="strong">${letterOf(from + k)}.</span> ${say(caution)}</li>`)}</ul>`;
}

/** A … Z; there are ten cautions in all. */
export const letterOf = (index: number): string => String.fromCharCode(65 + (index % 26));

/** `A, C` for the cautions of some findings within the paper's list. */
export function cautionLetters(findings: readonly Finding[], cautions: readonly string[]): string {
  return cautionsOf(findings).map((caution) => cautions.indexOf(caution)).sort((a, b) => a - b).map(letterOf).join(', ');
}
