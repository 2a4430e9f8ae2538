import type { CaseReadings } from '../../shared/case.ts';
import type { ComparedHead } from '../../shared/comparison-view.ts';
import type { Finding, Measurement } from '../../shared/finding.ts';
import type { Setup } from '../../shared/setup.ts';
import type { Interval } from '../../shared/span.ts';
import { normalTail } from '../series/distributions.ts';
import { holm } from '../series/holm.ts';
import { conditionOf } from './conditions.ts';
import { NORMAL_95, mattersFrom, measureOf } from './measures.ts';
import { settingChanges, type SettingChange } from './settings.ts';

/** A day, or a stretch of one, that is compared with another. */
export interface ComparedDay extends ComparedHead, Pick<CaseReadings, 'measurements' | 'findings' | 'checks'> {
  readonly areaHa: number;
  readonly setup?: Setup;
  /** SHA-256 of its logs. */
  readonly logs: readonly string[];
}

export interface Comparison {
  readonly before: ComparedDay;
  readonly after: ComparedDay;
  /** Measurements that both have, those that tell of the machine first. */
  readonly rows: readonly ComparedMeasurement[];
  /** Names and subjects that only one of them has. */
  readonly onlyBefore: readonly string[];
  readonly onlyAfter: readonly string[];
  readonly settings: readonly SettingChange[];
  readonly isSetupKnown: boolean;
  readonly findings: ComparedFindings;
  /** Whether they share logs: then what the intervals have in common is not told from what they have not. */
  readonly sharesLogs: boolean;
}

export interface ComparedMeasurement {
  readonly name: string;
  readonly subject: string;
  readonly unit: string;
  readonly before: Measurement;
  readonly after: Measurement;
  readonly difference: Interval;
  /** `not-shown`: a change that matters is ruled out. Left out for what tells of the day's work and not of the machine. */
  readonly verdict?: 'changed' | 'not-shown' | 'cannot-tell';
  /** Chance of such a difference when nothing changed, all compared measurements allowed for (Holm). */
  readonly p?: number;
  /** A smaller change is not worth a walk. */
  readonly matters?: number;
  /** What the new setting should have made of it. */
  readonly planned?: { readonly setting: string; readonly value: Interval; readonly isReached: boolean };
  /** Why the two cannot be compared, in words: condition before and after. */
  readonly unlike?: readonly [string, string];
}

/** Findings to act on or to watch. */
export interface ComparedFindings {
  readonly gone: readonly { readonly finding: Omit<Finding, 'evidence'>; readonly notLookedAt?: string }[];
  readonly fresh: readonly { readonly finding: Omit<Finding, 'evidence'>; readonly notLookedAt?: string }[];
  readonly stayed: readonly { readonly before: Omit<Finding, 'evidence'>; readonly after: Omit<Finding, 'evidence'> }[];
}

/** So many comparisons in which nothing changed name a change, all measurements together. */
export const FALSE_CHANGE_LEVEL = 0.05;

/** Two days side by side. Intervals of the two are taken as independent: half-widths combine by root sum of squares, each side by itself. */
export function compareDays(before: ComparedDay, after: ComparedDay): Comparison {
  const [first, second] = [before, after].map(({ measurements }) => new Map(measurements.map((measurement) => [keyOf(measurement), measurement]))) as [Map<string, Measurement>, Map<string, Measurement>];
  const pairs = [...first].flatMap(([key, was]) => {
    const is = second.get(key);
    return is === undefined || is.unit !== was.unit ? [] : [compared(was, is, before, after)];
  });
  const adjusted = holm(pairs.map(({ p }) => p ?? Number.NaN));
  const rows = pairs.map((row, i) => judged(row, adjusted[i] as number)).sort((a, b) => Number(a.verdict === undefined) - Number(b.verdict === undefined));
  return {
    before, after, rows,
    onlyBefore: [...first.keys()].filter((key) => !second.has(key)),
    onlyAfter: [...second.keys()].filter((key) => !first.has(key)),
    settings: before.setup === undefined || after.setup === undefined ? [] : settingChanges(before.setup, after.setup),
    isSetupKnown: before.setup !== undefined && after.setup !== undefined,
    findings: compareFindings(before, after),
    sharesLogs: before.logs.some((log) => after.logs.includes(log)),
  };
}

const keyOf = ({ name, subject }: Measurement): string => `${name} ${subject}`;

/** `p` is not yet adjusted, and only there where a verdict is wanted and possible. */
function compared(was: Measurement, is: Measurement, before: ComparedDay, after: ComparedDay): ComparedMeasurement {
  const difference = differenceOf(was, is);
  const measure = measureOf(was.name);
  const row = { name: was.name, subject: was.subject, unit: was.unit, before: was, after: is, difference };
  if (measure === undefined) return row;
  const conditions = [conditionOf(was, before.setup), conditionOf(is, after.setup)] as const;
  const isAlike = conditions[0] === conditions[1] || before.setup === undefined || after.setup === undefined;
  const planned = plannedRatio(was, is, before, after);
  const p = isAlike ? chanceOf(difference) : Number.NaN;
  return { ...row, matters: mattersFrom(measure, was.value), ...(Number.isNaN(p) ? {} : { p }), ...(planned === undefined ? {} : { planned }), ...(isAlike ? {} : { unlike: conditions }) };
}

export function differenceOf(was: Interval, is: Interval): Interval {
  const value = is.value - was.value;
  return {
    value,
    low: value - Math.hypot(is.value - is.low, was.high - was.value),
    high: value + Math.hypot(is.high - is.value, was.value - was.low),
  };
}

/** Two-sided, by the half-width on the side of no difference; NaN without bounds. */
function chanceOf({ value, low, high }: Interval): number {
  if (!Number.isFinite(low) || !Number.isFinite(high) || !Number.isFinite(value)) return Number.NaN;
  const half = value > 0 ? value - low : high - value;
  if (!(half > 0)) return value === 0 ? 1 : Number.NaN;
  return Math.min(1, 2 * normalTail((Math.abs(value) / half) * NORMAL_95));
}

function judged(row: ComparedMeasurement, p: number): ComparedMeasurement {
  const { matters, difference: { low, high } } = row;
  if (matters === undefined) return row;
  if (Number.isNaN(p)) return { ...row, verdict: 'cannot-tell' };
  if (p < FALSE_CHANGE_LEVEL) return { ...row, p, verdict: 'changed' };
  return { ...row, p, verdict: low >= -matters && high <= matters ? 'not-shown' : 'cannot-tell' };
}

/** The wheel's ratio goes with one over the entered constant. */
function plannedRatio(was: Measurement, is: Measurement, before: ComparedDay, after: ComparedDay): ComparedMeasurement['planned'] {
  const [old, recent] = [before.setup?.machine.wheel?.constant, after.setup?.machine.wheel?.constant];
  if (was.name !== 'wheel.ratio' || old === undefined || recent === undefined || old.pulsesPerMetre === recent.pulsesPerMetre) return undefined;
  const factor = old.pulsesPerMetre / recent.pulsesPerMetre;
  const value = { value: was.value * factor, low: was.low * factor, high: was.high * factor };
  const { low, high } = differenceOf(value, is);
  return { setting: `wheel constant ${old.entered} → ${recent.entered}`, value, isReached: low <= 0 && high >= 0 };
}

function compareFindings(before: ComparedDay, after: ComparedDay): ComparedFindings {
  const loud = ({ findings }: ComparedDay): readonly Omit<Finding, 'evidence'>[] => findings.filter(({ severity }) => severity !== 'info');
  const same = (a: Omit<Finding, 'evidence'>) => (b: Omit<Finding, 'evidence'>): boolean => a.code === b.code && a.subject === b.subject;
  const [old, recent] = [loud(before), loud(after)];
  const seen = (finding: Omit<Finding, 'evidence'>, other: ComparedDay): { readonly finding: Omit<Finding, 'evidence'>; readonly notLookedAt?: string } => {
    const why = notLookedAt(finding, other);
    return { finding, ...(why === undefined ? {} : { notLookedAt: why }) };
  };
  return {
    gone: old.filter((finding) => !recent.some(same(finding))).map((finding) => seen(finding, after)),
    fresh: recent.filter((finding) => !old.some(same(finding))).map((finding) => seen(finding, before)),
    stayed: old.flatMap((finding) => {
      const other = recent.find(same(finding));
      return other === undefined ? [] : [{ before: finding, after: other }];
    }),
  };
}

/** Which check looks for a code, by the code's first word. */
const CHECK_OF: Readonly<Record<string, string>> = {
  speed: 'speed-calibration', scale: 'scale', fan: 'fan-floor', run: 'run-flow', runs: 'run-flow', tower: 'run-flow',
  rate: 'rate', tank: 'tank-flow', section: 'section-timing', coverage: 'coverage', geometry: 'coverage', log: 'log-quality',
};

/** Why the other day's silence says nothing; undefined when it was looked for there. */
function notLookedAt({ code }: Omit<Finding, 'evidence'>, { checks }: ComparedDay): string | undefined {
  const check = checks.find(({ detector }) => detector === CHECK_OF[code.split('.')[0] ?? '']);
  if (check === undefined) return 'the check was not made';
  return check.status === 'clean' || check.status === 'found' ? undefined : check.why === '' ? 'the check was not made' : check.why;
}
