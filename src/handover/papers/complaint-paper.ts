import { verdictSentence } from '../../../shared/verdict.ts';
import { cautionList, cautionsOf } from './caution-list.ts';
import { checksMade, checksToDo, notesAndMarks, untold } from './complaint-checks.ts';
import { findingPages } from './complaint-findings.ts';
import { verdictPage } from './complaint-verdict.ts';
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
  const cautions = cautionsOf(analysis.findings);
  return sheet(source, 'Complaint file', 'what the logs of this day show, and how sure that is', [
    html`<section class="verdict"><h1>${say(verdictSentence(analysis.findings, analysis.checks))}</h1>${verdictPage(source)}${cautionList(cautions, say)}</section>`,
    html`<section class="keep"><h2>The day</h2>${dayFacts(source)}<figure>${dayChart(analysis, reading)}</figure></section>`,
    findingPages(source),
    settingsTable(source),
    correctionTable(source),
    untold(source),
    checksToDo(source, cautions),
    checksMade(source),
    measurementTable(source),
    notesAndMarks(source),
  ]);
}
