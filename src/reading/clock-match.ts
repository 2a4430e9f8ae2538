import { lagBetween } from '../series/lag.ts';
import { momentsOf } from '../series/moments.ts';
import { correlationAtAllLags } from './correlation-search.ts';
import { fitClock, type ClockLine, type ClockPoint, type FittedClock } from './clock-line.ts';
import { cellMeans, sampled, standing, type Trace } from './shared-signal.ts';

/*
 * How one log's clock stands against another's, from what both saw of the machine. First the whole of both is compared at
 * every shift; then stretches of some minutes give the shift to a tenth of a second or so along the day, and a line through
 * them offset and drift. Steps of product flow are never looked at: they come seconds late by nature.
 */

export interface ClockMatch {
  /** Undefined when it is not decided; `why` tells then. */
  readonly fit: FittedClock | undefined;
  readonly why?: Undecided;
  /** What single stretches say, looked for a minute about the first guess: to find steps of the clock in. */
  readonly rough: readonly ClockPoint[];
}
/** `short`: too little common movement; `unlike`: no shift stands out; `incoherent`: the shift differs from stretch to stretch. */
export type Undecided = 'short' | 'unlike' | 'incoherent';

export interface MatchOptions {
  /** Shifts further than this from the times as they stand are not looked for, s. */
  readonly longest: number;
  /** A drift counts when it moves the clock by so many seconds over the log: less may be the sensors'. */
  readonly tellingDrift: number;
}

const COARSE = 5;
/** Slower changes than this say nothing: over a whole day any two afternoons look alike. In cells either way. */
const SLOW_CELLS = 60;
/** s; and the share of the shorter log that must lie beside the other. */
const LEAST_COMMON = 600;
const LEAST_SHARE = 0.3;
/** The best shift must correlate so well, and stand out from all further than a minute from it by this factor. */
const LEAST_CORRELATION = 0.7;
const STANDING_OUT = 1.25;
const PEAK_CELLS = 12;

/** s */
const LONGEST_WINDOW = 1500;
const SHORTEST_WINDOW = 240;
const WINDOWS_WANTED = 8;
const FINE = 1;
/** The lag's own interval is not used here: the scatter of the stretches says more. */
const FEW_BLOCKS = 4;
/** A stretch tells something when the machine moves on the whole and the reference's logarithm of speed has a larger standard deviation. */
const MOVING = 0.02;
const GOOD_CORRELATION = 0.7;
/** Of the moving stretches so many must tell the same line, each within so many seconds. */
const LEAST_GOOD = 0.6;
const LARGEST_SCATTER = 1;

/** `reference` is on the day's clock, `other` on its own; the fit gives seconds to add to the other's times, from `at` on. */
export function matchClocks(reference: Trace, other: Trace, at: number, options: MatchOptions): ClockMatch {
  const shift = coarseShift(reference, other, options.longest);
  if (typeof shift === 'string') return { fit: undefined, why: shift, rough: [] };
  const windows = windowsOf(reference, other, shift);
  const rough = measured(windows, reference, other, { at: 0, offset: -shift, drift: 0 }, 60, 240);
  const first = fitClock(rough, at, options.tellingDrift);
  if (first === undefined) return { fit: undefined, why: rough.length === 0 ? 'short' : 'incoherent', rough };
  const fine = measured(windows, reference, other, first.line, 12, 40);
  const fit = fitClock(fine, at, options.tellingDrift);
  const moving = windows.filter((window) => window.moves).length;
  if (fit === undefined || fit.used.length < LEAST_GOOD * moving || fit.scatter > LARGEST_SCATTER) return { fit: undefined, why: 'incoherent', rough };
  return { fit, rough };
}

/** Other's time less reference's, to one coarse cell. */
function coarseShift(reference: Trace, other: Trace, longest: number): number | Undecided {
  const a = cells(reference);
  const b = cells(other);
  const leastOverlap = Math.max(LEAST_COMMON / COARSE, LEAST_SHARE * Math.min(a.values.length, b.values.length));
  const { first, correlation, overlap } = correlationAtAllLags(a.values, b.values, leastOverlap);
  const shiftOf = (k: number): number => b.start - a.start + (first + k) * COARSE;
  const score = correlation.map((r, k) => (Math.abs(shiftOf(k)) <= longest && r > 0 ? r * Math.sqrt(overlap[k] as number) : 0));
  const best = score.reduce((top, x, k) => (x > (score[top] as number) ? k : top), 0);
  if (score[best] === 0) return 'short';
  const elsewhere = score.reduce((most, x, k) => (Math.abs(k - best) > PEAK_CELLS ? Math.max(most, x) : most), 0);
  return (correlation[best] as number) >= LEAST_CORRELATION && (score[best] as number) >= STANDING_OUT * elsewhere ? shiftOf(best) : 'unlike';
}

function cells(trace: Trace): { readonly start: number; readonly values: Float64Array } {
  const start = trace.time[0] as number;
  const count = Math.ceil(((trace.time[trace.time.length - 1] as number) - start) / COARSE) + 1;
  return { start, values: withoutSlow(cellMeans(trace, start, COARSE, count)) };
}

/** Less the mean of all known cells near by. */
function withoutSlow(values: Float64Array): Float64Array {
  const n = values.length;
  const sums = new Float64Array(n + 1);
  const known = new Float64Array(n + 1);
  for (let i = 0; i < n; i += 1) {
    const x = values[i] as number;
    sums[i + 1] = (sums[i] as number) + (Number.isNaN(x) ? 0 : x);
    known[i + 1] = (known[i] as number) + (Number.isNaN(x) ? 0 : 1);
  }
  return values.map((x, i) => {
    const low = Math.max(0, i - SLOW_CELLS);
    const high = Math.min(n, i + SLOW_CELLS + 1);
    return x - ((sums[high] as number) - (sums[low] as number)) / ((known[high] as number) - (known[low] as number));
  });
}

/** Reference time, s. */
interface Window {
  readonly start: number;
  readonly length: number;
  readonly moves: boolean;
}

function windowsOf(reference: Trace, other: Trace, shift: number): readonly Window[] {
  const from = Math.max(reference.time[0] as number, (other.time[0] as number) - shift);
  const to = Math.min(reference.time[reference.time.length - 1] as number, (other.time[other.time.length - 1] as number) - shift);
  const length = Math.min(LONGEST_WINDOW, Math.max(SHORTEST_WINDOW, (to - from) / WINDOWS_WANTED));
  return Array.from({ length: Math.floor((to - from) / length) }, (_, k) => {
    const start = from + k * length;
    const values = sampled(reference, start, COARSE, Math.floor(length / COARSE)).filter(Number.isFinite);
    const { mean, sd } = momentsOf(values);
    return { start, length, moves: mean > standing(reference.kind) && sd > MOVING };
  });
}

/** Seconds to add in the middle of each window that tells it, looked for `longest` seconds to either side of `line`. */
function measured(windows: readonly Window[], reference: Trace, other: Trace, line: ClockLine, longest: number, slowest: number): readonly ClockPoint[] {
  return windows.flatMap(({ start, length, moves }) => {
    if (!moves) return [];
    const count = Math.floor(length / FINE);
    const begin = asLogged(start, line);
    const step = FINE / (1 + line.drift);
    const { lag, correlation } = lagBetween(sampled(reference, start, FINE, count), sampled(other, begin, step, count), FINE, { longest, slowest, blocks: FEW_BLOCKS });
    if (!(correlation >= GOOD_CORRELATION) || Math.abs(lag) > longest - 2) return [];
    const middle = begin + (step * count) / 2;
    return [{ time: middle, added: line.offset + line.drift * (middle - line.at) - lag }];
  });
}

/** The logged time that the line brings to `time`. */
function asLogged(time: number, { at, offset, drift }: ClockLine): number {
  return at + (time - offset - at) / (1 + drift);
}
