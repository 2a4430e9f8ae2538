import type { Interval } from '../../../shared/span.ts';
import { bootstrapInterval } from '../../series/bootstrap.ts';
import { lineFit } from '../../series/regression.ts';
import { studentTQuantile } from '../../series/distributions.ts';
import { medianInPlace } from '../run-flow/typed-median.ts';
import type { Edge } from './edges.ts';
import type { ResponseShape } from './response-shape.ts';
import type { SectionTimingOptions } from './options.ts';

export interface DelayEstimate extends Interval {
  /** Crossings behind it. */
  readonly n: number;
  /** Spread of single edges about it, s, robust standard deviation. */
  readonly spread: number;
}

/**
 * s per edge and s between samples. An edge read off at a sample has T/√12 (checks.md 7); by area whole samples are summed and
 * their phase matters only as far as the rate is not the flow, taken as a tenth of that.
 */
const SAMPLING = 0.1 / Math.sqrt(12);

/**
 * Mean over the groups (sections or towers) of the middle of the crossings, half-flow delay in s; 95 % interval by resampling
 * crossings, whose edges share the driver, the speed and the clock. `pick` gives one edge's delays by group.
 */
export function delayEstimate(groups: readonly string[], units: readonly (readonly Edge[])[], pick: (edge: Edge, group: string) => number | undefined, { halfFlow, uncertain }: Pick<ResponseShape, 'halfFlow' | 'uncertain'>, interval: number): DelayEstimate | undefined {
  const table = groups.map((group) => units.map((unit) => {
    const values = unit.flatMap((edge) => pick(edge, group) ?? []);
    return values.length === 0 ? Number.NaN : values.reduce((sum, value) => sum + value, 0) / values.length + halfFlow;
  }));
  const filled = table.filter((row) => row.some((value) => !Number.isNaN(value)));
  if (filled.length === 0) return undefined;
  const used = units.flatMap((_, u) => (filled.some((row) => !Number.isNaN(row[u] as number)) ? [u] : []));
  const statistic = trimmedMeans(filled.map((row) => Float64Array.from(used, (u) => row[u] as number)));
  const { value, low, high } = bootstrapInterval(used.length, statistic, { resamples: 1000 });
  /* What sampling leaves is in the scatter of the edges already, but not when all edges happen to share a phase. */
  const floor = (1.96 * SAMPLING * interval) / Math.sqrt(used.length * filled.length);
  const deviations = filled.flatMap((row) => {
    const known = Float64Array.from(row.filter((each) => !Number.isNaN(each)));
    const middle = medianInPlace(Float64Array.from(known));
    return [...known].map((each) => Math.abs(each - middle));
  });
  /* What a dip of the fan really did is known to half (uniform, so 1 ÷ √3). */
  const air = (1.96 / Math.sqrt(3)) * Math.abs(meanOf(units.flat().map(({ airAdded }) => airAdded)));
  const form = 1.96 * uncertain;
  const below = Math.hypot(Math.max(value - low, floor), air, form);
  const above = Math.hypot(Math.max(high - value, floor), air, form);
  return {
    value, n: used.length, spread: 1.4826 * medianInPlace(Float64Array.from(deviations)),
    low: value - below, high: value + above,
  };
}

/** Share at either end that is left out of a middle. */
const TRIMMED = 0.1;

/**
 * Mean over the rows of each row's mean without its lowest and highest tenth: nearly as certain as the mean, and as little moved by
 * a stray as need be. Takes the places to use, some twice; NaN values are left out. Each row is put in order once, so that a resample
 * has only to be counted.
 */
function trimmedMeans(rows: readonly Float64Array[]): (places: ArrayLike<number>) => number {
  const ordered = rows.map((row) => {
    const places = [...row.keys()].filter((place) => !Number.isNaN(row[place] as number)).toSorted((a, b) => (row[a] as number) - (row[b] as number));
    return { places: Int32Array.from(places), values: Float64Array.from(places, (place) => row[place] as number) };
  });
  const times = new Int32Array(rows[0]?.length ?? 0);
  return (places) => {
    times.fill(0);
    for (let i = 0; i < places.length; i++) times[places[i] as number] = (times[places[i] as number] as number) + 1;
    let sum = 0;
    let known = 0;
    for (const row of ordered) {
      const middle = trimmedMean(row.values, row.places, times);
      if (Number.isNaN(middle)) continue;
      sum += middle;
      known++;
    }
    return known === 0 ? Number.NaN : sum / known;
  };
}

/** Of values in order, the one at `places[i]` taken `times[places[i]]` times; NaN when none is. */
function trimmedMean(values: Float64Array, places: Int32Array, times: Int32Array): number {
  let n = 0;
  for (let i = 0; i < places.length; i++) n += times[places[i] as number] as number;
  const cut = Math.floor(TRIMMED * n);
  let sum = 0;
  let before = 0;
  for (let i = 0; i < places.length; i++) {
    const count = times[places[i] as number] as number;
    const taken = Math.min(before + count, n - cut) - Math.max(before, cut);
    if (taken > 0) sum += taken * (values[i] as number);
    before += count;
  }
  return sum / (n - 2 * cut);
}

const meanOf = (values: readonly number[]): number => (values.length === 0 ? 0 : values.reduce((sum, value) => sum + value, 0) / values.length);

/** Way from command to flow against speed: the slope is the delay, the intercept a distance that no delay explains. */
export interface DistanceFit {
  readonly slope: Interval;
  readonly intercept: Interval;
}

/**
 * Undefined with too few edges or too even a speed to tell a time from a distance. Crossings are the units; hose lengths are taken
 * out, every edge as if its section had the mean delay.
 */
export function distanceFit(units: readonly (readonly Edge[])[], halfFlow: number, options: SectionTimingOptions): DistanceFit | undefined {
  const known = units.map((unit) => unit.filter(({ speed }) => speed > 0)).filter((unit) => unit.length > 0);
  const edges = known.flat();
  const speeds = known.map((unit) => meanOf(unit.map(({ speed }) => speed)));
  if (known.length < options.fewestForRegression || Math.max(...speeds) - Math.min(...speeds) < options.leastSpeedSpread) return undefined;
  const overall = meanOf(edges.map(({ delay }) => delay));
  const own = new Map([...new Set(edges.map(({ section }) => section))].map((section) => [section, meanOf(edges.flatMap((edge) => (edge.section === section ? [edge.delay] : [])))]));
  const ways = known.map((unit) => meanOf(unit.map((edge) => edge.speed * (edge.delay + halfFlow - (own.get(edge.section) ?? 0) + overall))));
  const fit = lineFit(speeds, ways);
  const t = studentTQuantile(0.975, fit.degreesOfFreedom);
  const around = (value: number, error: number): Interval => ({ value, low: value - t * error, high: value + t * error });
  return { slope: around(fit.slope, fit.slopeStandardError), intercept: around(fit.intercept, fit.interceptStandardError) };
}
