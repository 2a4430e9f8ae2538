import type { Span } from '../../../shared/span.ts';
import { median } from '../../series/robust.ts';

/** The reading moved from one level to another within seconds. */
export interface MassStep {
  /** s from the day's start: first second at the new level. */
  readonly time: number;
  /** kg, levels before and after. */
  readonly before: number;
  readonly after: number;
  /** Standard uncertainty of after − before, kg. */
  readonly uncertainty: number;
}

export interface StepOptions {
  /** s; longer than this and product may have been moved: an auger loads at most about 30 kg/s. trade.md F12, F19, common practice. */
  readonly longestSeconds: number;
  /** s of level reading wanted on either side. */
  readonly levelSeconds: number;
  /** kg; smaller ones are people, lids and gusts. */
  readonly smallest: number;
  /** kg, standard deviation of the slow wander of a reading over a minute or so. scenarios.md section 0, from memory. */
  readonly wander: number;
}

/** Steps of the reading inside `spans`; levels are medians, and both sides must be level: a ramp is not a step. */
export function massSteps(mass: Float64Array, spans: readonly Span[], options: StepOptions): readonly MassStep[] {
  const { longestSeconds, levelSeconds, smallest } = options;
  const steps: MassStep[] = [];
  for (const span of spans) {
    const first = Math.max(0, Math.floor(span.start));
    const last = Math.min(mass.length, Math.ceil(span.end)) - longestSeconds;
    let best: MassStep | undefined;
    for (let k = first + 1; k < last; k++) {
      /* Two readings apart by the longest step: nearly all seconds fail here. */
      const change = (mass[k + longestSeconds - 1] as number) - (mass[k - 1] as number);
      const step = Math.abs(change) >= 0.7 * smallest ? stepAt(mass, k, span, options) : undefined;
      if (step === undefined) continue;
      const isNext = best !== undefined && step.time - best.time > levelSeconds;
      if (best !== undefined && isNext) steps.push(best);
      if (best === undefined || isNext || clarity(step) > clarity(best)) best = step;
    }
    if (best !== undefined) steps.push(best);
  }
  return steps;
}

export const jump = (step: MassStep): number => step.after - step.before;

/** Of the places one step can be read at, the one with the calmest levels. */
const clarity = (step: MassStep): number => Math.abs(jump(step)) - 3 * step.uncertainty;

function stepAt(mass: Float64Array, k: number, span: Span, { longestSeconds, levelSeconds, smallest, wander }: StepOptions): MassStep | undefined {
  const earlier = readings(mass, Math.max(span.start, k - levelSeconds), k);
  const later = readings(mass, k + longestSeconds - 1, Math.min(span.end, k + longestSeconds - 1 + levelSeconds));
  if (earlier.length < levelSeconds / 2 || later.length < levelSeconds / 2) return undefined;
  const before = median(earlier);
  const after = median(later);
  const size = after - before;
  if (Math.abs(size) < smallest) return undefined;
  const unrest = Math.max(spread(earlier), spread(later));
  if (Math.abs(size) < 8 * unrest || Math.max(rise(earlier), rise(later)) > Math.max(0.1 * Math.abs(size), 2 * unrest)) return undefined;
  let time = k;
  while (time < k + longestSeconds && !(Math.abs((mass[time] as number) - before) > 0.8 * Math.abs(size))) time++;
  return { time, before, after, uncertainty: Math.hypot(unrest * Math.sqrt(2 / levelSeconds), wander * Math.sqrt((2 * levelSeconds) / 180)) };
}

function readings(mass: Float64Array, from: number, to: number): readonly number[] {
  return [...mass.subarray(Math.max(0, Math.round(from)), Math.max(0, Math.round(to)))].filter(Number.isFinite);
}

/** Standard deviation from the differences between neighbours, kg: unmoved by the level itself. */
function spread(values: readonly number[]): number {
  let squares = 0;
  for (let i = 1; i < values.length; i++) squares += ((values[i] as number) - (values[i - 1] as number)) ** 2;
  return Math.max(1, Math.sqrt(squares / 2 / Math.max(1, values.length - 1)));
}

/** How far the second half of the readings lies from the first, kg. */
function rise(values: readonly number[]): number {
  const half = Math.floor(values.length / 2);
  return Math.abs(median(values.slice(half)) - median(values.slice(0, half)));
}
