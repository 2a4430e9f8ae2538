import { formatNumber, renderText, type Reading, type UnitSystem } from '../../shared/text.ts';
import { paragraph } from '../handover/paragraph.ts';
import { cautionText } from './cautions.ts';
import { FALSE_ALARM_LEVEL, type History, type SeriesHistory } from './history.ts';
import { seriesSentences } from './history-words.ts';
import { changeLine } from './settings-words.ts';
import { titleOf } from './value-words.ts';

const ORDER: readonly SeriesHistory['status'][] = ['moved', 'moved-little', 'steady', 'too-few-days'];

const wrapped = (text: string, indent: number): string => paragraph(text, { width: 96, indent });

/** The season as a letter: what moved first, then what stayed, what was entered, what came back. */
export function historyText(history: History, units: UnitSystem): string {
  const say = (text: string): string => renderText(text, readingOf(units));
  const sorted = byStatus(history.series);
  const parts = [
    headline(history, units),
    wrapped(verdictOf(history), 0),
    ...sorted.map((entry) => [`${MARKS[entry.status]} ${say(titleOf(entry.series.name, entry.series.subject, entry.series.condition))}`, ...seriesSentences(entry, units).map((sentence) => wrapped(say(sentence), 3))].join('\n')),
    settingsText(history, say),
    recurringText(history),
    cautionText(history.recurring.flatMap(({ cautions }) => cautions)),
    wrapped(methodSentence(history), 0),
  ];
  return `${parts.filter((part) => part !== '').join('\n\n')}\n`;
}

/** Sentences here carry no clock times. */
export const readingOf = (units: UnitSystem): Reading => ({ units, zone: 'UTC', dayStart: 0 });

export const byStatus = (series: readonly SeriesHistory[]): readonly SeriesHistory[] =>
  series.toSorted((a, b) => ORDER.indexOf(a.status) - ORDER.indexOf(b.status));

const MARKS: Readonly<Record<SeriesHistory['status'], string>> = { 'moved': '▲', 'moved-little': '△', 'steady': '·', 'too-few-days': '?' };

const headline = (history: History, units: UnitSystem): string => `Sowtrace  ${history.machine}  ${extentOf(history, units)}`;

/** How much the season holds. */
export function extentOf({ days, hectares }: History, units: UnitSystem): string {
  const area = units === 'us' ? `${formatNumber(hectares / 0.40468564224, 0)} ac` : `${formatNumber(hectares, 0)} ha`;
  return `${days.length} kept ${days.length === 1 ? 'day' : 'days'}, ${days[0]?.date ?? ''} to ${days.at(-1)?.date ?? ''}, ${area}`;
}

/** The one sentence that answers first. */
export function verdictOf({ series, settings }: History): string {
  const moved = series.filter(({ status }) => status === 'moved');
  const judged = series.filter(({ status }) => status !== 'too-few-days');
  const entered = settings.length === 0 ? '' : ` Settings were entered anew ${settings.length === 1 ? 'once' : `${settings.length} times`}; what that does to the numbers is allowed for, or told as a series of its own.`;
  if (judged.length === 0) return `Nothing can be told yet: no measurement was made on enough days.${entered}`;
  if (moved.length === 0) return `Nothing moved that matters, in ${judged.length} series followed.${entered}`;
  return `${moved.length} of ${judged.length} series moved: ${moved.map(({ series: { name, subject } }) => titleOf(name, subject)).join('; ')}.${entered}`;
}

export const methodSentence = ({ isSetupKnown }: History): string => [
  `Each day counts by its own interval and the spread between days. All series together raise a false alarm in at most ${FALSE_ALARM_LEVEL * 100} of 100 seasons in which nothing moves; when days strongly resemble the days before, in about 10.`,
  isSetupKnown ? '' : 'For some days no setup was kept: what was entered anew there is not known and may look like a movement of the machine.',
].join(' ').trim();

function settingsText({ settings }: History, say: (text: string) => string): string {
  if (settings.length === 0) return '';
  return ['Entered anew (no drift of the machine)', ...settings.flatMap(({ listing, changes }) => changes.map((change) => wrapped(say(`${listing.date}  ${changeLine(change)}`), 3)))].join('\n');
}

function recurringText({ recurring, days }: History): string {
  if (recurring.length === 0) return '';
  const rows = recurring.map(({ code, subject, severity, dates }) => wrapped(`${severity.padEnd(7)} ${`${code} ${subject}`.padEnd(32)} ${dates.length} of ${days.length} days: ${shortened(dates)}`, 3));
  return ['Came back', ...rows].join('\n');
}

const MOST_DATES = 5;
export const shortened = (dates: readonly string[]): string => (dates.length <= MOST_DATES ? dates.join(', ') : `${dates.slice(0, MOST_DATES - 1).join(', ')} … ${dates.at(-1) ?? ''}`);
