import type { Channel } from '../../shared/channel.ts';
import type { Span } from '../../shared/span.ts';
import { median, medianAbsoluteDeviation } from '../series/robust.ts';
import { contains } from '../series/spans.ts';
import type { Timeline } from './timeline.ts';

/** A tank's scale, second by second, and how well it reads. */
export interface TankScale {
  /** kg as logged; a tank with load cells only is their sum. */
  readonly mass: Float64Array;
  /** Running median over 7 s: bumps gone, steps kept. */
  readonly calm: Float64Array;
  /** kg between two readings the scale can show. */
  readonly step: number;
  /** kg, standard deviation of the slow wander (wind, oil, temperature, people) while standing. */
  readonly wander: number;
  /**
   * Share of the load, standard deviation, by which the lie of the land moves the reading: seen in how it swings while
   * driving, and unknown but of that size wherever the cart stands.
   */
  readonly sway: number;
}

/** s; the time over which a scale wanders (scenarios.md section 0, from memory). */
export const WANDER_TIME = 180;
/** kg, when the day has too little standing time to measure the wander; and the bounds within which a measured one is believed (trade.md f.1: 5–35 kg). */
const USUAL_WANDER = 6;
const WANDER_BOUNDS = [2, 35] as const;
/** Neighbouring seconds of a scale are not independent: this many count as one (τ ≈ 1.5 s). */
const SECONDS_PER_READING = 3;
const HALF_WINDOW = 3;
/** √(π/2): a median's standard deviation against a mean's, normal noise. */
const MEDIAN_LOSS = 1.2533;

export function tankScale(timeline: Timeline, channels: readonly Channel[], tank: string, parked: readonly Span[]): TankScale | undefined {
  const whole = `tank.${tank}.mass`;
  const cells = channels.filter(({ id }) => id.startsWith(`tank.${tank}.cell.`));
  const mass = timeline.mean(whole) ?? sumOf([...new Set(cells.map(({ id }) => id))].map((id) => timeline.mean(id)));
  if (mass === undefined) return undefined;
  const source = channels.find(({ id }) => id === whole) ?? cells[0];
  const calm = runningMedian(mass, HALF_WINDOW);
  const wander = wanderOf(calm, parked);
  return { mass, calm, step: source === undefined ? 0 : readingStep(source.value), wander, sway: swayOf(calm, parked, wander) };
}

function sumOf(parts: readonly (Float64Array | undefined)[]): Float64Array | undefined {
  const [first, ...rest] = parts.filter((each) => each !== undefined);
  return first?.map((x, k) => rest.reduce((sum, part) => sum + (part[k] as number), x));
}

/** Smallest step between neighbouring different readings, kg: the scale's resolution, when it shows. */
function readingStep(value: Float32Array | Float64Array): number {
  let smallest = Infinity;
  const last = Math.min(value.length, 20_000);
  for (let i = 1; i < last; i++) {
    const step = Math.abs((value[i] as number) - (value[i - 1] as number));
    if (step > 1e-3 && step < smallest) smallest = step;
  }
  return Number.isFinite(smallest) ? smallest : 0;
}

/** Median of the known values within `reach` s either side; NaN where fewer than half are known. */
function runningMedian(values: Float64Array, reach: number): Float64Array {
  const window = new Float64Array(2 * reach + 1);
  return values.map((_, k) => {
    let n = 0;
    for (let j = Math.max(0, k - reach); j <= Math.min(values.length - 1, k + reach); j++) {
      const x = values[j] as number;
      if (Number.isNaN(x)) continue;
      let at = n++;
      for (; at > 0 && (window[at - 1] as number) > x; at--) window[at] = window[at - 1] as number;
      window[at] = x;
    }
    if (n <= reach) return Number.NaN;
    return n % 2 === 1 ? (window[n >> 1] as number) : ((window[(n >> 1) - 1] as number) + (window[n >> 1] as number)) / 2;
  });
}

/** kg in a minute: more is product going in (trade.md F19: 100 and more), not wander. */
const LOADED = 60;

/** From how much the reading differs after a minute of standing: for a wander that forgets itself in τ, var = 2σ²(1 − e^(−60/τ)). */
function wanderOf(calm: Float64Array, parked: readonly Span[]): number {
  const lag = 60;
  const differences: number[] = [];
  for (const { start, end } of parked) {
    for (let k = Math.ceil(start) + 10; k + lag < end; k += 15) {
      const difference = (calm[k + lag] ?? Number.NaN) - (calm[k] as number);
      if (Math.abs(difference) < LOADED) differences.push(difference);
    }
  }
  if (differences.length < 8) return USUAL_WANDER;
  const sd = medianAbsoluteDeviation(differences) / Math.sqrt(2 * (1 - Math.exp(-lag / WANDER_TIME)));
  return Math.min(WANDER_BOUNDS[1], Math.max(WANDER_BOUNDS[0], sd));
}

/** kg, of the 7 s median of a driving scale whose seconds have sd 12–15 (trade.md a.3: 10–30, scenarios.md: 12). */
const MOVING_NOISE = 9;
/** s; half the way over a hill or so (400 m at 8 km/h takes 180 s). */
const SWAY_LAG = 120;
/** Where the tank is emptier than this share of its fullest, kg say little about a share. */
const LADEN = 0.3;
const MOST_SWAY = 0.03;

/**
 * From how far the reading lies off the middle of those two minutes before and after, which cancels what is metered;
 * the wander and noise that a standing scale has too are taken off (var of the difference = 1.5 var of the reading).
 */
function swayOf(calm: Float64Array, parked: readonly Span[], wander: number): number {
  const laden = LADEN * calm.reduce((most, each) => (each > most ? each : most), 0);
  const shares: number[] = [];
  const loads: number[] = [];
  for (let k = SWAY_LAG; k < calm.length - SWAY_LAG; k += 10) {
    const load = calm[k] as number;
    if (!(load > laden) || contains(parked, k - SWAY_LAG) || contains(parked, k) || contains(parked, k + SWAY_LAG)) continue;
    const off = load - ((calm[k - SWAY_LAG] as number) + (calm[k + SWAY_LAG] as number)) / 2;
    if (Number.isNaN(off)) continue;
    shares.push(off / load);
    loads.push(load);
  }
  if (shares.length < 30) return 0;
  const noise = Math.hypot(wander, MOVING_NOISE) / median(loads);
  const sd = medianAbsoluteDeviation(shares) / Math.sqrt(1.5);
  return Math.min(MOST_SWAY, Math.sqrt(Math.max(0, sd * sd - noise * noise)));
}

/** A level read over a stretch. */
export interface Level {
  /** kg, median. */
  readonly mass: number;
  /** kg, robust standard deviation of single seconds. */
  readonly spread: number;
  /** Seconds with a reading. */
  readonly seconds: number;
  /** kg, standard uncertainty from noise and reading steps; the wander comes on top. */
  readonly uncertainty: number;
}

/** The level over seconds from `from` to before `to`; NaN without a reading. */
export function levelOf({ mass, step }: TankScale, from: number, to: number): Level {
  const readings = mass.subarray(Math.max(0, Math.round(from)), Math.max(0, Math.round(to))).filter((each) => !Number.isNaN(each));
  const spread = medianAbsoluteDeviation(readings);
  const noise = MEDIAN_LOSS * spread * Math.sqrt(SECONDS_PER_READING / Math.max(1, readings.length));
  return { mass: median(readings), spread, seconds: readings.length, uncertainty: Math.hypot(noise, step / Math.sqrt(12)) };
}
