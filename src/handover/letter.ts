import type { Analysis, ProductSummary } from '../../shared/day.ts';
import type { Finding, Measurement } from '../../shared/finding.ts';
import { formatNumber, quantity, renderText, type Reading, type UnitSystem } from '../../shared/text.ts';
import { fromSi, toSi } from '../../shared/units.ts';
import { verdictSentence, workedWords } from '../../shared/verdict.ts';
import { paragraph } from './paragraph.ts';

/** Paints a word on a terminal; the identity when colour is off. */
export type Paint = (text: string, as: 'action' | 'watch' | 'info' | 'strong' | 'faint') => string;

const WIDTH = 96;
const INDENT = 15;

/** Analysis → the answer as text: verdict first, then what to do, then what was measured and what could not be looked at. */
export function letter(analysis: Analysis, reading: Reading, paint: Paint = (text) => text): string {
  const say = (text: string): string => renderText(text, reading);
  const { findings } = analysis;
  const parts = [headline(analysis, reading), paint(paragraph(say(verdictSentence(findings, analysis.checks)), { width: WIDTH, indent: 0 }), 'strong')];
  findings.forEach((finding, index) => parts.push(findingText(finding, index + 1, saidBefore(findings, index), say, paint)));
  parts.push(cautionText(findings, say, paint));
  parts.push(dayText(analysis, reading));
  parts.push(measurementText(analysis.measurements, reading.units));
  parts.push(checkText(analysis, say));
  parts.push(logText(analysis));
  return `${parts.filter((part) => part !== '').join('\n\n')}\n`;
}

function headline(analysis: Analysis, reading: Reading): string {
  const date = new Intl.DateTimeFormat('en-GB', { timeZone: reading.zone, dateStyle: 'long' }).format(analysis.day.start * 1000);
  const files = analysis.day.logs.map((log) => log.file).join(' + ');
  const hours = renderText(`${quantity.clock(0)} to ${quantity.clock(analysis.day.duration)}`, reading);
  return `Sowtrace  ${files}  ${date}, ${hours} ${reading.zone}`;
}

/** Number of the finding before the `index`th that says just the same, by what it says; once is enough in a letter. */
const saidBefore = (findings: readonly Finding[], index: number) => (text: string | undefined): string | undefined => {
  const first = text === undefined ? -1 : findings.slice(0, index).findIndex(({ cannotTell, decidingCheck }) => cannotTell === text || decidingCheck === text);
  return first < 0 ? text : `As for ${first + 1}.`;
};

function findingText(finding: Finding, number: number, once: (text: string | undefined) => string | undefined, say: (text: string) => string, paint: Paint): string {
  const row = (label: string, text: string | undefined): string => (text === undefined || text === '' ? '' : paragraph(say(text), { width: WIDTH, indent: INDENT, label: `   ${label}` }));
  const when = `${quantity.clock(finding.span.start)} to ${quantity.clock(finding.span.end)}${finding.episodes.length > 1 ? `, ${finding.episodes.length} times` : ''}`;
  const { correction } = finding;
  const rows = [
    `${number}. ${paint(finding.severity.toUpperCase(), finding.severity)}  ${paint(say(finding.title), 'strong')}  (${VERDICT_WORDS[finding.verdict]})`,
    row('When', when),
    row('Why', finding.explanation),
    row('Cost', finding.consequence?.text),
    ...(finding.consequences ?? []).map((text) => row('Follows', text)),
    row('Ruled out', ruledOut(finding.excludes)),
    row('Cannot tell', once(finding.cannotTell)),
    row('Settle it', once(finding.decidingCheck)),
    row('Set', correction === undefined ? undefined : `${correction.setting}: ${correction.old} → ${correction.new}`),
    paint(`   ${finding.code} ${finding.subject}`, 'faint'),
  ];
  return rows.filter((text) => text !== '').join('\n');
}

/** Other causes, in one line; the reasons stand in the JSON document, the viewer and the papers. */
function ruledOut(excludes: readonly string[]): string {
  const names = excludes.map((sentence) => {
    const name = (/^(?:Not |Hardly |)([^:.;]*)/.exec(sentence)?.[1] ?? sentence).trim();
    return sentence.startsWith('Hardly ') ? `most likely ${name}` : name;
  });
  const last = names.at(-1);
  if (last === undefined) return '';
  const list = names.length === 1 ? last : `${names.slice(0, -1).join('; ')}; and ${last}`;
  return `${list.replace(/^./, (letter) => letter.toUpperCase())}.`;
}

const VERDICT_WORDS: Readonly<Record<Finding['verdict'], string>> = {
  'proved': 'proved by the log',
  'consistent': 'fits the log, other causes do too',
  'cannot-tell': 'the log cannot tell',
};

/** Each caution once, for all findings together: a repeated warning is not read. */
function cautionText(findings: readonly Finding[], say: (text: string) => string, paint: Paint): string {
  const cautions = [...new Set(findings.filter((finding) => finding.severity !== 'info').flatMap((finding) => finding.cautions))];
  if (cautions.length === 0) return '';
  return [paint('Before anyone goes to the machine', 'strong'), ...cautions.map((caution) => paragraph(say(caution), { width: WIDTH, indent: 3, label: ' -' }))].join('\n');
}

function dayText(analysis: Analysis, reading: Reading): string {
  const { summary } = analysis;
  const say = (text: string): string => renderText(text, reading);
  const lines = [`The day        ${say(workedWords(summary))}`];
  for (const product of summary.products) lines.push(`   ${productText(product, say)}`);
  return lines.join('\n');
}

function productText(product: ProductSummary, say: (text: string) => string): string {
  const rate = (kgPerHa: number): string => say(quantity.rate(kgPerHa * 1e-4));
  const name = `tank ${product.tank}${product.name === undefined ? '' : `, ${product.name}`}`;
  const applied = product.appliedKgPerHa;
  const went = applied === undefined ? 'rate cannot be told' : `${rate(applied.value)} went in (${rate(applied.low)} to ${rate(applied.high)})`;
  const target = product.targetKgPerHa === undefined ? '' : `, target ${rate(product.targetKgPerHa)}`;
  const mass = product.dispensedKg === undefined ? '' : `, ${say(quantity.mass(product.dispensedKg.value))} in all`;
  return `${name}: ${went}${target}${mass}`;
}

function measurementText(measurements: readonly Measurement[], units: UnitSystem): string {
  if (measurements.length === 0) return '';
  /* A section of one tower is measured once. */
  const alike = (a: Measurement, b: Measurement): boolean => a.name === b.name && a.value === b.value && a.low === b.low && a.high === b.high;
  const shownOnce = measurements.filter((entry, i) => measurements.findIndex((other) => alike(other, entry)) === i);
  const rows = shownOnce.map((entry) => {
    const unit = units === 'us' ? (US_UNITS[entry.unit] ?? entry.unit) : entry.unit;
    const shown = (value: number): number => (unit === entry.unit ? value : fromSi(toSi(value, entry.unit) ?? value, unit) ?? value);
    const digits = significantDecimals(shown(entry.high) - shown(entry.low));
    const interval = `${formatNumber(shown(entry.value), digits)} (${formatNumber(shown(entry.low), digits)} to ${formatNumber(shown(entry.high), digits)}) ${unit}`;
    return `   ${`${entry.name} ${entry.subject}`.padEnd(34)} ${interval}, n = ${entry.n}`;
  });
  return ['Measured (95 % interval)', ...rows].join('\n');
}

const US_UNITS: Readonly<Record<string, string>> = { 'kg': 'lb', 'm': 'ft', 'kg/ha': 'lb/ac', 'ha': 'ac', 'm/s': 'mph', 'Pa': 'inH2O' };

/** Decimals that show an interval's width with two digits. */
function significantDecimals(width: number): number {
  if (!(width > 0)) return 3;
  return Math.min(6, Math.max(0, 1 - Math.floor(Math.log10(width))));
}

function checkText(analysis: Analysis, say: (text: string) => string): string {
  const rows = analysis.checks.map((check) => paragraph(say(`${CHECK_WORDS[check.status]}${check.why === '' ? '' : `: ${check.why}`}`), { width: WIDTH, indent: 23, label: `   ${check.detector}` }));
  return ['Checks', ...rows].join('\n');
}

const CHECK_WORDS: Readonly<Record<Analysis['checks'][number]['status'], string>> = {
  'clean': 'looked, nothing wrong',
  'found': 'see above',
  'too-little-data': 'too little data',
  'not-logged': 'not logged',
  'not-set-up': 'not set up',
  'failed': 'failed (our mistake, please report)',
};

function logText(analysis: Analysis): string {
  const rows = analysis.day.logs.flatMap((log) => [
    `   ${log.file}: ${log.format}, ${formatNumber(log.records, 0)} records, ${formatNumber(log.badRecords, 0)} bad, sha256 ${log.sha256.slice(0, 16)}…`,
    ...log.notes.map((note) => paragraph(note, { width: WIDTH, indent: 6 })),
  ]);
  return ['Logs', ...rows].join('\n');
}
