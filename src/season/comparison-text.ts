import type { Finding } from '../../shared/finding.ts';
import { changeWords, intervalWords, numberWords } from '../../shared/measure-words.ts';
import { counted } from '../../shared/verdict.ts';
import { renderText, type UnitSystem } from '../../shared/text.ts';
import { paragraph } from '../handover/paragraph.ts';
import { cautionText } from './cautions.ts';
import type { ComparedDay, ComparedMeasurement, Comparison } from './comparison.ts';
import { readingOf } from './history-text.ts';
import { changeLine } from './settings-words.ts';
import { levelWords, titleOf } from './value-words.ts';

const wrapped = (text: string, indent: number): string => paragraph(text, { width: 96, indent });

/** Two days as a letter: what changed, what was entered, which findings went and came, every number. */
export function comparisonText(comparison: Comparison, units: UnitSystem): string {
  const { before, after, rows, settings } = comparison;
  const say = (text: string): string => renderText(text, readingOf(units));
  const parts = [
    [`Sowtrace  before: ${before.title}`, `          after:  ${after.title}`].join('\n'),
    wrapped(say(verdictOf(comparison, units)), 0),
    settings.length === 0 ? '' : ['Entered differently', ...settings.map((change) => wrapped(say(changeLine(change)), 3))].join('\n'),
    findingsText(comparison, units),
    cautionText([...comparison.findings.fresh.map(({ finding }) => finding), ...comparison.findings.stayed.map((pair) => pair.after)].flatMap(({ cautions }) => cautions).map(say)),
    measuredText(rows, units, say),
    dayText(rows, units),
    onlyText(comparison),
    wrapped(methodSentence(comparison), 0),
  ];
  return `${parts.filter((part) => part !== '').join('\n\n')}\n`;
}

/** The first sentences: what changed, whether the new setting did what it should, what went and came. */
export function verdictOf({ rows, findings, settings, isSetupKnown }: Comparison, units: UnitSystem): string {
  if (rows.length === 0) return 'Nothing can be compared: no measurement was made on both.';
  const sentences: string[] = [];
  for (const { name, subject, planned, after, unit } of rows) {
    if (planned === undefined) continue;
    const [planText, isText] = [levelWords(planned.value, unit, units), levelWords(after, unit, units)];
    sentences.push(`${titleOf(name, subject)}: the new ${planned.setting} should have brought it to ${planText}, and it is ${isText}: ${planned.isReached ? 'it did what it should.' : 'it did not do what it should, so something else moved as well or the setting did not reach the controller.'}`);
  }
  const changed = rows.filter(({ verdict, matters, difference }) => verdict === 'changed' && Math.abs(difference.value) >= (matters ?? 0));
  const judged = rows.filter(({ verdict }) => verdict !== undefined);
  sentences.push(changed.length === 0 ? `No change that matters was shown in ${counted(judged.length, 'measurement')}.` : `Changed: ${changed.map(({ name, subject, before, after, unit }) => `${titleOf(name, subject)} from ${levelWords(before, unit, units)} to ${levelWords(after, unit, units)}`).join('; ')}.`);
  const really = findings.gone.filter(({ notLookedAt }) => notLookedAt === undefined);
  if (findings.gone.length + findings.fresh.length + findings.stayed.length > 0) sentences.push(`Findings: ${really.length} gone, ${findings.stayed.length} still there, ${findings.fresh.length} new.`);
  if (isSetupKnown && settings.length === 0) sentences.push('The setups are the same.');
  return sentences.join(' ');
}

function findingsText({ findings, before, after }: Comparison, units: UnitSystem): string {
  const [was, is] = [sayIn(before, units), sayIn(after, units)];
  const measureText = (measure: Finding['measure']): string => (measure === undefined ? '?' : intervalWords(measure, units).value);
  const line = (text: string): string => wrapped(text, 3);
  const head = ({ title, code, subject }: Omit<Finding, 'evidence'>, say: (text: string) => string): string => `${say(title)} (${code} ${subject})`;
  const gone = findings.gone.filter(({ notLookedAt }) => notLookedAt === undefined);
  const unseen = findings.gone.filter(({ notLookedAt }) => notLookedAt !== undefined);
  const sections = [
    ['Gone', gone.map(({ finding }) => line(head(finding, was)))],
    ['Not seen again, but not looked for either', unseen.map(({ finding, notLookedAt }) => line(`${head(finding, was)}: ${is(notLookedAt ?? '')}`))],
    ['New', findings.fresh.map(({ finding, notLookedAt }) => line(`${head(finding, is)}${notLookedAt === undefined ? '' : `; before: ${was(notLookedAt)}`}`))],
    ['Still there', findings.stayed.map(({ before: old, after: recent }) => line(`${head(recent, is)}${old.measure === undefined && recent.measure === undefined ? '' : `: ${measureText(old.measure)} before, ${measureText(recent.measure)} after`}`))],
  ] as const;
  return sections.filter(([, lines]) => lines.length > 0).map(([title, lines]) => [title, ...lines].join('\n')).join('\n\n');
}

/** Sentences of a day with their clock times in its zone. */
export const sayIn = ({ start, zone }: ComparedDay, units: UnitSystem) => (text: string): string => renderText(text, { units, zone, dayStart: start });

const VERDICTS: Readonly<Record<NonNullable<ComparedMeasurement['verdict']>, string>> = { 'changed': 'changed', 'not-shown': 'not shown to have changed', 'cannot-tell': 'cannot tell' };

function measuredText(rows: readonly ComparedMeasurement[], units: UnitSystem, say: (text: string) => string): string {
  const judged = rows.filter(({ verdict }) => verdict !== undefined);
  /* Single sections and towers in which nothing was shown need no line each. */
  const brief = judged.filter(({ verdict, subject }) => verdict === 'not-shown' && /^(?:section|tower)\./.test(subject));
  const told = judged.filter((row) => !brief.includes(row));
  if (told.length === 0) return '';
  const more = brief.length === 0 ? [] : [wrapped(`Not shown to have changed either: ${brief.length} of single sections and towers.`, 3)];
  return ['Measured (95 % intervals)', ...told.map((row) => rowText(row, units, say)), ...more].join('\n');
}

function rowText(row: ComparedMeasurement, units: UnitSystem, say: (text: string) => string): string {
  const { name, subject, unit, before, after, difference, verdict, matters, unlike } = row;
  const lines = [`   ${titleOf(name, subject)}: ${verdict === undefined ? '' : VERDICTS[verdict]}${reasonOf(row, units)}`];
  lines.push(wrapped(`${levelWords(before, unit, units)} → ${levelWords(after, unit, units)}, difference ${changeWords(difference, unit, units)}`, 6));
  if (unlike !== undefined) lines.push(wrapped(say(`measured with ${unlike[0] === '' ? 'nothing named' : unlike[0]} before, with ${unlike[1] === '' ? 'nothing named' : unlike[1]} after`), 6));
  if (verdict === 'changed' && matters !== undefined && Math.abs(difference.value) < matters) lines.push(`      less than ${numberWords(matters, unit, units, matters)}, so nothing to act on`);
  return lines.join('\n');
}

/** What tells of the day's work and not of the machine: numbers side by side, no verdict. */
function dayText(rows: readonly ComparedMeasurement[], units: UnitSystem): string {
  const lines = rows.filter(({ verdict }) => verdict === undefined).map(({ name, subject, unit, before, after }) => `   ${titleOf(name, subject).padEnd(56)} ${intervalWords({ ...before, unit }, units).value} → ${intervalWords({ ...after, unit }, units).value}`);
  return lines.length === 0 ? '' : ['The days themselves', ...lines].join('\n');
}

function reasonOf({ verdict, unit, matters, unlike, p }: ComparedMeasurement, units: UnitSystem): string {
  if (matters === undefined || unlike !== undefined || p === undefined) return '';
  const size = numberWords(matters, unit, units, matters);
  if (verdict === 'not-shown') return `, by less than ${size} if at all`;
  return verdict === 'cannot-tell' ? ` whether it changed by ${size} or more` : '';
}

function onlyText({ onlyBefore, onlyAfter }: Comparison): string {
  const rows = [onlyBefore.length === 0 ? '' : wrapped(`Only before: ${onlyBefore.join(', ')}.`, 0), onlyAfter.length === 0 ? '' : wrapped(`Only after: ${onlyAfter.join(', ')}.`, 0)];
  return rows.filter((row) => row !== '').join('\n');
}

/** How sure the verdicts are, and where the intervals are not independent. */
export function methodSentence({ sharesLogs, isSetupKnown }: Comparison): string {
  return [
    'All verdicts together name a change where there is none in at most 5 of 100 comparisons.',
    sharesLogs
      ? 'Both come from the same log: what shifts both alike (the receiver, the scale’s tickets, the width) is counted twice, so the intervals of the differences are rather too wide than too narrow.'
      : 'The two intervals of each row are taken as independent; what shifts both days alike (the same receiver, the same scale) makes the interval of the difference rather too wide. Two days also differ in field and soil: that spread is in none of these intervals, and only the history of more kept days shows it.',
    'Rows of one kind are not independent of each other: wheel ratio and wheel constant are one measurement, and a delay of all sections holds those of each.',
    isSetupKnown ? '' : 'Without both setups it is not known what was entered differently.',
  ].filter((part) => part !== '').join(' ');
}
