import type { Span } from '../../../shared/span.ts';
import { median, medianAbsoluteDeviation } from '../../series/robust.ts';
import { hysteresisSpans, intersectSpans, joinSpans, maskOf, subtractSpans, totalSeconds } from '../../series/spans.ts';
import { medianInPlace } from '../run-flow/typed-median.ts';
import type { FanDay } from './fan-day.ts';
import type { FanOptions } from './options.ts';

/** The fan under its floor while product went through it. */
export interface LowStretch extends Span {
  /** The parts of it in which product went through. */
  readonly parts: readonly Span[];
}

/** s; the speed is the median over this many, so that a single sample or a dip of the lift makes nothing. */
const SMOOTHING = 5;

/** s; a fan that comes up to its floor wavers about it: what lies closer together is one stretch. */
const SAME_STRETCH = 60;

/** Stretches under the floor, with at least one uninterrupted part of `shortestLow` seconds that is judged. */
export function lowStretches(fan: FanDay, wrong: readonly Span[], options: FanOptions): readonly LowStretch[] {
  const inWork = maskOf(fan.judged, fan.speed.length);
  /* A fan that was stopped after the work ends the stretch. */
  const relative = runningMedian(fan.speed, SMOOTHING).map((rpm, k) =>
    (inWork[k] === 1 || rpm > options.standing * fan.usual ? rpm / (fan.floor[k] as number) : Number.NaN));
  const edges = Float64Array.from({ length: relative.length + 1 }, (_, k) => k);
  const low = hysteresisSpans(edges, [...relative, Number.NaN], { side: 'below', enter: 1, leave: 1 + options.recovered });
  const judged = subtractSpans(fan.judged, wrong);
  const lasting = low.filter((span) => intersectSpans([span], judged).some((part) => part.end - part.start >= options.shortestLow));
  return joinSpans(lasting, SAME_STRETCH).map((span) => {
    const parts = intersectSpans(intersectSpans(lasting, [span]), judged);
    return { start: parts[0]?.start ?? span.start, end: parts.at(-1)?.end ?? span.end, parts };
  });
}

/** The lowest speed that lasted, with its 95 % interval from the sensor's own scatter, rpm; undefined where nothing lasted. */
export interface Sustained {
  readonly speed: number;
  readonly low: number;
  readonly high: number;
  /** s */
  readonly time: number;
  readonly floor: number;
}

/** Median over `sustained` seconds, the lowest against the floor; dips of the lift (2–5 s) do not reach it. */
export function lowestSustained(fan: FanDay, spans: readonly Span[], options: FanOptions): Sustained | undefined {
  let best: Sustained | undefined;
  for (const { start, end } of spans) {
    for (let k = Math.ceil(start); k + options.sustained <= end; k++) {
      if (best !== undefined && !isMostlyBelow(fan.speed, k, options.sustained, (best.speed / best.floor) * (fan.floor[k] as number))) continue;
      const values = fan.speed.subarray(k, k + options.sustained).filter(Number.isFinite);
      if (values.length < options.sustained / 2) continue;
      const speed = median(values);
      const floor = fan.floor[k] as number;
      if (best === undefined || speed / floor < best.speed / best.floor) best = { speed, low: speed, high: speed, floor, time: k };
    }
  }
  if (best === undefined) return undefined;
  /* The median of n has an uncertainty of 1.25·σ/√n. */
  const reach = 2 * 1.25 * sensorScatter(fan) / Math.sqrt(options.sustained);
  return { ...best, low: best.speed - reach, high: best.speed + reach };
}

/** Whether the median over a window can lie below `limit`. */
function isMostlyBelow(speed: Float64Array, from: number, length: number, limit: number): boolean {
  let known = 0;
  let below = 0;
  for (let k = from; k < from + length; k++) {
    const rpm = speed[k] as number;
    if (Number.isFinite(rpm)) known++;
    if (rpm < limit) below++;
  }
  return 2 * below >= known;
}

/** Scatter of one second's reading, rpm, from differences of neighbours. */
export function sensorScatter({ speed, usual }: FanDay): number {
  const differences: number[] = [];
  for (let k = 1; k < speed.length; k++) {
    if ((speed[k] as number) > usual / 2 && (speed[k - 1] as number) > usual / 2) differences.push((speed[k] as number) - (speed[k - 1] as number));
  }
  return Math.max(1, medianAbsoluteDeviation(differences) / Math.SQRT2 || 0);
}

export function runningMedian(values: Float64Array, width: number): Float64Array {
  const half = Math.floor(width / 2);
  const window = new Float64Array(2 * half + 1);
  return values.map((value, k) => {
    if (Number.isNaN(value)) return value;
    let n = 0;
    for (let i = Math.max(0, k - half); i < Math.min(values.length, k + half + 1); i++) if (Number.isFinite(values[i])) window[n++] = values[i] as number;
    return medianInPlace(window, n);
  });
}

export const secondsLow = (stretches: readonly LowStretch[]): number => totalSeconds(stretches.flatMap(({ parts }) => parts));
