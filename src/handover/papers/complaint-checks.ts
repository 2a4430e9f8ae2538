import type { Mark } from '../../../shared/marks.ts';
import { cautionLetters, furtherCautions, letterOf } from './caution-list.ts';
import { html, type Markup } from './markup.ts';
import { sayer, type PaperSource } from './paper.ts';
import { BLIND_WORDS, MARK_WORDS, checkTitle } from './words.ts';

/** What stays open: by finding, and checks that could not be made. */
export function untold({ analysis, reading }: PaperSource): Markup {
  const say = sayer(reading);
  const open = analysis.findings.flatMap(({ cannotTell }, k) => (cannotTell === undefined ? [] : [{ about: `Finding ${k + 1}`, text: cannotTell }]));
  const blind = analysis.checks.flatMap(({ detector, status, why }) => {
    const words = BLIND_WORDS[status];
    return words === undefined ? [] : [{ about: `${checkTitle(detector)} (${words})`, text: why }];
  });
  const rows = [...open, ...blind];
  return html`<section><h2>What the log cannot tell</h2>
${rows.length > 0 && html`<div class="wide" tabindex="0"><table><tbody>${rows.map(({ about, text }) => html`<tr><th scope="row" class="row-name">${about}</th><td>${say(text)}</td></tr>`)}</tbody></table></div>`}
<p${rows.length > 0 && html` class="small"`}>No log sees seed depth, emergence, or a hose that came off below its sensor.</p></section>`;
}

/** The deciding checks, to be ticked off; what somebody already marked stands beside them. */
export function checksToDo({ analysis, reading, marks = [] }: PaperSource, cautions: readonly string[], onFirstPage: number): Markup {
  const say = sayer(reading);
  if (analysis.findings.length === 0) return html``;
  const markOf = (id: string): Mark | undefined => marks.find(({ finding }) => finding === id);
  return html`<section><h2>Checks at the machine</h2>
<div class="wide" tabindex="0"><table><thead><tr><th scope="col">finding</th><th scope="col">check</th><th scope="col">cautions</th><th scope="col">done, and what was seen</th></tr></thead>
<tbody>${analysis.findings.map((finding, k) => {
    const mark = markOf(finding.id);
    return html`<tr><td>${k + 1}</td><td>${say(finding.decidingCheck)}</td><td>${finding.cautions.length === 0 ? '–' : cautionLetters([finding], cautions)}</td><td class="seen">${mark === undefined ? html`<span class="tick"></span>` : MARK_WORDS[mark.state]}</td></tr>`;
  })}</tbody></table></div>
${onFirstPage > 0 && html`<p class="small">Cautions ${lettersTo(onFirstPage)} stand on the first page${cautions.length > onFirstPage && ', the others here'}.</p>`}
${furtherCautions(cautions, onFirstPage, say)}</section>`;
}

const lettersTo = (count: number): string => (count === 1 ? letterOf(0) : `${letterOf(0)} ${count === 2 ? 'and' : 'to'} ${letterOf(count - 1)}`);

export function checksMade({ analysis, reading }: PaperSource): Markup {
  const say = sayer(reading);
  const clean = analysis.checks.filter(({ status }) => status === 'clean');
  if (clean.length === 0) return html``;
  return html`<section><h2>Checks made, nothing wrong</h2>
<div class="wide" tabindex="0"><table><tbody>${clean.map(({ detector, why }) => html`<tr><th scope="row" class="row-name">${checkTitle(detector)}</th><td>${say(why)}</td></tr>`)}</tbody></table></div></section>`;
}

/** The reader's own words, exactly as they were typed. */
export function notesAndMarks({ analysis, reading, marks = [], notes = '' }: PaperSource): Markup {
  const time = new Intl.DateTimeFormat('en-GB', { timeZone: reading.zone, dateStyle: 'medium', timeStyle: 'short' });
  const known = marks.flatMap((mark) => {
    const number = analysis.findings.findIndex(({ id }) => id === mark.finding) + 1;
    return number === 0 ? [] : [{ ...mark, number }];
  });
  if (known.length === 0 && notes.trim() === '') return html``;
  return html`<section><h2>Notes of those who were there</h2>
${notes.trim() !== '' && html`<p class="notes">${notes.trim()}</p>`}
${known.length > 0 && html`<div class="wide" tabindex="0"><table><thead><tr><th scope="col">finding</th><th scope="col">mark</th><th scope="col">note</th><th scope="col">when</th></tr></thead><tbody>${known.map(({ number, state, note, at }) => html`<tr><td>${number}</td><td>${MARK_WORDS[state]}</td><td class="notes">${note}</td><td>${Number.isFinite(at) ? time.format(at) : '–'}</td></tr>`)}</tbody></table></div>`}
<p class="small">These words are people’s, not the log’s; Sowtrace did not check them.</p></section>`;
}
