import type { CaseListing } from '../../shared/case.ts';
import type { FindingCode, Severity } from '../../shared/finding.ts';
import type { Interval } from '../../shared/span.ts';
import { holm } from '../series/holm.ts';
import { individualsLimits, type IndividualsLimits } from './individuals-limits.ts';
import { mattersFrom, measureOf, uncertaintyOf } from './measures.ts';
import { FEWEST_DAYS, seasonModel, type ModelledDays, type SeasonModel } from './season-model.ts';
import { seasonSeries, type SeasonDay, type SeasonSeries, type SeriesPoint } from './season-series.ts';
import { settingChanges, type SettingChange } from './settings.ts';

/** One machine over many kept days. */
export interface History {
  readonly machine: string;
  /** In order of time. */
  readonly days: readonly CaseListing[];
  readonly hectares: number;
  readonly series: readonly SeriesHistory[];
  /** What was entered anew between two kept days. */
  readonly settings: readonly { readonly listing: CaseListing; readonly changes: readonly SettingChange[] }[];
  /** Whether settings of all days are known. */
  readonly isSetupKnown: boolean;
  /** Findings to act on or to watch that came on more than one day, most days first. */
  readonly recurring: readonly Recurring[];
}

export interface SeriesHistory {
  readonly series: SeasonSeries;
  /** `moved-little`: beyond chance, but less than matters. */
  readonly status: 'steady' | 'moved' | 'moved-little' | 'too-few-days';
  /** Undefined with too few days. */
  readonly model?: SeasonModel;
  /** What the drift goes by. */
  readonly per?: '100 ha' | 'day';
  readonly drift?: Interval;
  readonly limits?: IndividualsLimits;
  /** Chance of so much in a season that only scatters, all series and questions allowed for. */
  readonly p?: number;
  /** A smaller change is not worth a walk, in the series' unit. */
  readonly matters: number;
}

export interface Recurring {
  readonly code: FindingCode;
  readonly subject: string;
  readonly severity: Severity;
  readonly dates: readonly string[];
  /** Before anyone goes to the machine for it. */
  readonly cautions: readonly string[];
}

/** All series of one machine together raise a false alarm in at most this share of seasons in which nothing moves. */
export const FALSE_ALARM_LEVEL = 0.05;
/** An interval much narrower than the others' is more likely a flaw of that day than knowledge. */
const LEAST_SHARE_OF_USUAL = 0.2;
const DAY_SECONDS = 86_400;

/** Kept days of one machine, in any order → what its measurements did through the season. */
export function history(machine: string, days: readonly SeasonDay[]): History {
  const ordered = days.toSorted((a, b) => a.readings.listing.start - b.readings.listing.start);
  const all = seasonSeries(ordered);
  const modelled = all.map((series) => (series.points.length < FEWEST_DAYS ? undefined : daysOf(series)));
  const matter = all.map(mattersOf);
  const levels = modelled.map((entry, i) => (entry === undefined ? undefined : seasonModel(entry.days, 0, matter[i])));
  const chance = levels.map((level) => level?.p ?? Number.NaN);
  const adjusted = holm(chance);
  const tested = chance.filter((p) => !Number.isNaN(p)).length;
  const better = (p: number): number => chance.filter((other) => other < p).length;
  const series = all.map((entry, i): SeriesHistory => {
    const basis = modelled[i];
    const [p, pAdjusted] = [chance[i] as number, adjusted[i] as number];
    const matters = matter[i] as number;
    if (basis === undefined) return { series: entry, status: 'too-few-days', matters };
    /* Holm's level for a series of this rank; a series that does not pass is not looked at further. */
    const model = pAdjusted < FALSE_ALARM_LEVEL ? seasonModel(basis.days, FALSE_ALARM_LEVEL / (tested - better(p)), matters) : levels[i];
    return model === undefined ? { series: entry, status: 'too-few-days', matters } : judged(entry, model, basis.per, matters, pAdjusted);
  });
  const changes = ordered.flatMap((day, i) => {
    const before = ordered[i - 1]?.setup;
    const changed = before === undefined || day.setup === undefined ? [] : settingChanges(before, day.setup);
    return changed.length === 0 ? [] : [{ listing: day.readings.listing, changes: changed }];
  });
  return {
    machine,
    days: ordered.map((day) => day.readings.listing),
    hectares: ordered.reduce((sum, { readings }) => sum + (Number.isFinite(readings.summary.areaHa) ? readings.summary.areaHa : 0), 0),
    series, settings: changes,
    isSetupKnown: ordered.every(({ setup }) => setup !== undefined),
    recurring: recurring(ordered),
  };
}

/** Wear goes by hectares where every day has some, otherwise by the calendar. */
function daysOf({ points }: SeasonSeries): { readonly days: ModelledDays; readonly per: '100 ha' | 'day' } {
  const uncertainty = points.map(uncertaintyOf);
  const usual = uncertainty.toSorted((a, b) => a - b)[Math.floor(points.length / 2)] as number;
  const floor = usual > 0 ? usual * LEAST_SHARE_OF_USUAL : Number.MIN_VALUE ** 0.25;
  const per = points.every((point, i) => i === 0 || point.hectares > (points[i - 1] as SeriesPoint).hectares) ? '100 ha' : 'day';
  return {
    days: {
      at: points.map(({ hectares, listing }) => (per === '100 ha' ? hectares / 100 : listing.start / DAY_SECONDS)),
      value: points.map(({ value }) => value),
      uncertainty: uncertainty.map((u) => Math.max(u, floor)),
    },
    per,
  };
}

function mattersOf({ name, points }: SeasonSeries): number {
  const measure = measureOf(name);
  const typical = points.map(({ value }) => value).toSorted((a, b) => a - b)[Math.floor(points.length / 2)] ?? 0;
  return measure === undefined ? 0 : mattersFrom(measure, typical);
}

function judged(series: SeasonSeries, model: SeasonModel, per: '100 ha' | 'day', matters: number, p: number): SeriesHistory {
  const isMoved = model.drift !== undefined || model.steps.length + model.oddDays.length > 0;
  const largest = Math.max(Math.abs(model.last.value - model.first.value), ...model.steps.map(({ size }) => Math.abs(size.value)), ...model.oddDays.map(({ difference }) => Math.abs(difference.value)));
  return {
    series, model, matters, p, per,
    status: !isMoved ? 'steady' : largest >= matters ? 'moved' : 'moved-little',
    ...(model.drift === undefined ? {} : { drift: model.drift }),
    limits: individualsLimits(series.points.map(({ value }) => value), isMoved ? model.expected : undefined),
  };
}

const RANK: Readonly<Record<Severity, number>> = { info: 0, watch: 1, action: 2 };

function recurring(days: readonly SeasonDay[]): readonly Recurring[] {
  const found = new Map<string, { readonly code: FindingCode; readonly subject: string; severity: Severity; readonly dates: Set<string>; readonly cautions: Set<string> }>();
  for (const { readings } of days) {
    for (const { code, subject, severity, cautions } of readings.findings) {
      if (severity === 'info') continue;
      const key = `${code} ${subject}`;
      const entry = found.get(key) ?? { code, subject, severity, dates: new Set<string>(), cautions: new Set<string>() };
      entry.dates.add(readings.listing.date);
      for (const caution of cautions) entry.cautions.add(caution);
      if (RANK[severity] > RANK[entry.severity]) entry.severity = severity;
      found.set(key, entry);
    }
  }
  return [...found.values()]
    .filter(({ dates }) => dates.size > 1)
    .map((entry) => ({ ...entry, dates: [...entry.dates], cautions: [...entry.cautions] }))
    .sort((a, b) => b.dates.length - a.dates.length || RANK[b.severity] - RANK[a.severity] || a.code.localeCompare(b.code) || a.subject.localeCompare(b.subject));
}
