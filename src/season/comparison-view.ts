import type { ComparedFinding, ComparedRow, ComparisonView, SentInterval } from '../../shared/comparison-view.ts';
import type { Measure } from '../../shared/finding.ts';
import type { Interval } from '../../shared/span.ts';
import { methodSentence, verdictOf } from './comparison-text.ts';
import type { ComparedDay, ComparedMeasurement, Comparison } from './comparison.ts';
import { distinct } from './cautions.ts';
import { titleOf } from './value-words.ts';

const ORDER = ['changed', 'cannot-tell', 'not-shown', undefined] as const;

/** Two days side by side for the viewer, which turns tokens into the reader's units and the days' own clocks. */
export function comparisonView(comparison: Comparison): ComparisonView {
  const { before, after, rows, onlyBefore, onlyAfter, settings, isSetupKnown, findings } = comparison;
  return {
    before: headOf(before), after: headOf(after),
    answer: { metric: verdictOf(comparison, 'metric'), us: verdictOf(comparison, 'us') },
    rows: rows.map(rowOf).toSorted((a, b) => ORDER.indexOf(a.verdict) - ORDER.indexOf(b.verdict)),
    onlyBefore: onlyBefore.map(titleOfKey), onlyAfter: onlyAfter.map(titleOfKey),
    settings, isSetupKnown,
    gone: findings.gone.map(({ finding, ...why }) => ({ ...headOfFinding(finding), ...why })),
    fresh: findings.fresh.map(({ finding, ...why }) => ({ ...headOfFinding(finding), ...why })),
    stayed: findings.stayed.map(({ before: old, after: recent }) => ({
      ...headOfFinding(recent), ...(isBounded(old.measure) && isBounded(recent.measure) ? { measures: [old.measure, recent.measure] as const } : {}),
    })),
    cautions: distinct([...findings.fresh.map(({ finding }) => finding), ...findings.stayed.map((pair) => pair.after)].flatMap(({ cautions }) => cautions)),
    method: methodSentence(comparison),
  };
}

const headOf = ({ title, zone, start }: ComparedDay): ComparisonView['before'] => ({ title, zone, start });
const headOfFinding = ({ code, subject, severity, title }: ComparedFinding): ComparedFinding => ({ code, subject, severity, title });

const isBounded = (measure: Measure | undefined): measure is Measure => measure !== undefined && [measure.value, measure.low, measure.high].every(Number.isFinite);

function rowOf({ name, subject, unit, before, after, difference, verdict, matters, unlike }: ComparedMeasurement): ComparedRow {
  return {
    title: titleOf(name, subject), isPart: /^(?:section|tower)\./.test(subject), unit, before: sent(before), after: sent(after), difference: sent(difference),
    ...(verdict === undefined ? {} : { verdict }), ...(matters === undefined ? {} : { matters }), ...(unlike === undefined ? {} : { unlike }),
  };
}

const bounded = (value: number): number | null => (Number.isFinite(value) ? value : null);
const sent = ({ value, low, high }: Interval): SentInterval => ({ value: bounded(value), low: bounded(low), high: bounded(high) });

/** Keys are name and subject with a blank between; names hold none. */
function titleOfKey(key: string): string {
  const blank = key.indexOf(' ');
  return titleOf(key.slice(0, blank), key.slice(blank + 1));
}
