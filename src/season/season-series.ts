import type { CaseListing, CaseReadings } from '../../shared/case.ts';
import type { Measurement } from '../../shared/finding.ts';
import type { Setup, WheelConstant } from '../../shared/setup.ts';
import { parseSetup } from '../../shared/setup-file.ts';
import { conditionOf } from './conditions.ts';
import { isFollowed, uncertaintyOf } from './measures.ts';

/** A kept day as a season looks at it. */
export interface SeasonDay {
  readonly readings: CaseReadings;
  /** Undefined when it was not kept; then nothing is allowed for. */
  readonly setup?: Setup;
}

/** What was kept of a day, its setup read; a setup that cannot be read is as good as none. */
export function seasonDay(readings: CaseReadings): SeasonDay {
  if (readings.setup === undefined) return { readings };
  try {
    return { readings, setup: parseSetup(JSON.parse(readings.setup.replace(/^\uFEFF/, '')), readings.listing.zone).setup };
  } catch {
    return { readings };
  }
}

/** One measurement of one machine through the season, under one set of conditions. */
export interface SeasonSeries {
  readonly name: string;
  readonly subject: string;
  /** What it was measured with, e.g. `wheat`; measurements under other conditions are another series. Empty when nothing matters. */
  readonly condition: string;
  readonly unit: string;
  /** How the numbers were made comparable, when they had to be. */
  readonly note?: string;
  /** Of the wheel: the constant entered last, which the values go by. */
  readonly constant?: WheelConstant;
  readonly points: readonly SeriesPoint[];
}

export interface SeriesPoint {
  readonly listing: CaseListing;
  readonly value: number;
  readonly low: number;
  readonly high: number;
  readonly n: number;
  /** Hectares done by the machine until the middle of this day. */
  readonly hectares: number;
}

/** Days in order of time → the series that a season follows. Measurements without bounds are left out. */
export function seasonSeries(days: readonly SeasonDay[]): readonly SeasonSeries[] {
  const constant = days.findLast((day) => enteredConstant(day) !== undefined);
  const last = constant === undefined ? undefined : enteredConstant(constant);
  const entered = constant?.setup?.machine.wheel?.constant;
  const series = new Map<string, { readonly head: Omit<SeasonSeries, 'points'>; readonly notes: string[]; readonly points: SeriesPoint[] }>();
  let hectares = 0;
  for (const day of days) {
    const { listing, summary, measurements } = day.readings;
    const area = Number.isFinite(summary.areaHa) ? summary.areaHa : 0;
    for (const measurement of measurements) {
      if (!isFollowed(measurement) || !Number.isFinite(measurement.value) || !(uncertaintyOf(measurement) >= 0)) continue;
      const { factor, condition, note } = comparable(measurement, day, last);
      const key = [measurement.name, measurement.subject, condition].join('\n');
      const found = series.get(key) ?? { head: { name: measurement.name, subject: measurement.subject, condition, unit: measurement.unit }, notes: [], points: [] };
      if (note !== undefined) found.notes.push(note);
      found.points.push({ listing, value: measurement.value * factor, low: measurement.low * factor, high: measurement.high * factor, n: measurement.n, hectares: hectares + area / 2 });
      series.set(key, found);
    }
    hectares += area;
  }
  return [...series.values()].map(({ head, notes: [note], points }) => ({
    ...head, ...(note === undefined ? {} : { note }), ...(head.name === 'wheel.ratio' && head.condition === '' && entered !== undefined ? { constant: entered } : {}), points,
  }));
}

interface Comparable {
  readonly factor: number;
  readonly condition: string;
  readonly note?: string;
}

/** Numbers of this day on the footing of the season's last wheel constant, and what else has to be the same. */
function comparable(measurement: Measurement, day: SeasonDay, lastConstant: number | undefined): Comparable {
  if (measurement.name !== 'wheel.ratio') return { factor: 1, condition: conditionOf(measurement, day.setup) };
  const entered = enteredConstant(day);
  if (entered === undefined || lastConstant === undefined) return { factor: 1, condition: lastConstant === undefined ? '' : 'no wheel constant entered' };
  /* The wheel's way is pulses over the entered constant: what it would have been with the constant of the last day. */
  return { factor: entered / lastConstant, condition: '', ...(entered === lastConstant ? {} : { note: 'as if the last wheel constant had been entered on every day' }) };
}

/** pulses/m as entered: by the setup, or by the day's two measurements, of which one holds it. */
function enteredConstant({ readings, setup }: SeasonDay): number | undefined {
  const entered = setup?.machine.wheel?.constant.pulsesPerMetre;
  if (entered !== undefined) return entered;
  const value = (name: string): number | undefined => readings.measurements.find((measurement) => measurement.name === name)?.value;
  const [constant, ratio] = [value('wheel.constant'), value('wheel.ratio')];
  return constant === undefined || ratio === undefined || !(ratio > 0) ? undefined : constant / ratio;
}
