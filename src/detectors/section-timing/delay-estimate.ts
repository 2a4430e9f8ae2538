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
  const line = new Float64Array(used.length);
  const statistic = (indices: ArrayLike<number>): number => {
    let sum = 0;
    let n = 0;
    for (const row of filled) {
      let known = 0;
      for (let i = 0; i < indices.length; i++) {
        const value = row[used[indices[i] as number] as number] as number;
        if (!Number.isNaN(value)) line[known++] = value;
      }
      if (known === 0) continue;
      sum += middleOf(line.subarray(0, known));
      n++;
    }
    return n === 0 ? Number.NaN : sum / n;
  };
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

/** Mean without the lowest and highest tenth: nearly as certain as the mean, and as little moved by a stray as need be; sorts in place. */
function middleOf(values: Float64Array): number {
  put(values);
  const cut = Math.floor(TRIMMED * values.length);
  let sum = 0;
  for (let i = cut; i < values.length - cut; i++) sum += values[i] as number;
  return sum / (values.length - 2 * cut);
}

/** In order; a resample of some dozen crossings by insertion, which beats the built-in sort there. */
function put(values: Float64Array): void {
  if (values.length > 64) {
    values.sort();
    return;
  }
  for (let i = 1; i < values.length; i++) {
    const value = values[i] as number;
    let j = i - 1;
    for (; j >= 0 && (values[j] as number) > value; j--) values[j + 1] = values[j] as number;
    values[j + 1] = value;
  }
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
