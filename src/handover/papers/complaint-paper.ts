import { verdictSentence } from '../../../shared/verdict.ts';
import { cautionList, cautionsOf } from './caution-list.ts';
import { checksMade, checksToDo, notesAndMarks, untold } from './complaint-checks.ts';
import { findingPages } from './complaint-findings.ts';
import { mainFinding, verdictPage } from './complaint-verdict.ts';
import { html } from './markup.ts';
import { measurementTable } from './measurement-table.ts';
import { sayer, type PaperSource } from './paper.ts';
import { dayChart } from './pictures/day-chart.ts';
import { correctionTable, settingsTable } from './settings-table.ts';
import { dayFacts } from './day-facts.ts';
import { sheet } from './sheet.ts';

/**
 * The complaint file: for the technician who has to defend it before somebody who disagrees. Page one is the whole verdict;
 * behind it what it rests on, what was ruled out, and what it cannot say.
 */
export function complaintPaper(source: PaperSource): string {
  const { analysis, reading } = source;
  const say = sayer(reading);
  const main = mainFinding(source);
  /* on page one what its check needs; the others where theirs stand, so that each is printed once */
  const first = main === undefined ? [] : cautionsOf([main]);
  const cautions = [...new Set([...first, ...cautionsOf(analysis.findings)])];
  return sheet(source, 'Complaint file', 'what the logs of this day show, and how sure that is', [
    html`<section class="verdict"><h1>${say(verdictSentence(analysis.findings, analysis.checks))}</h1>${verdictPage(source)}${cautionList(first, say)}</section>`,
    html`<section class="keep"><h2>The day</h2>${dayFacts(source)}<figure>${dayChart(analysis, reading)}</figure></section>`,
    findingPages(source),
    settingsTable(source),
    correctionTable(source),
    untold(source),
    checksToDo(source, cautions, first.length),
    checksMade(source),
    measurementTable(source),
    notesAndMarks(source),
  ]);
}
