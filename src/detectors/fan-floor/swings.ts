import type { Span } from '../../../shared/span.ts';
import { usualInterval } from '../../series/gaps.ts';
import { median } from '../../series/robust.ts';
import { meanPerCell } from '../../series/resample.ts';
import { joinSpans, shrinkSpans } from '../../series/spans.ts';
import type { FanDay } from './fan-day.ts';
import type { FanOptions } from './options.ts';

/** A speed that swings to and fro at one frequency. */
export interface Swing extends Span {
  /** ± share of the speed. */
  readonly amplitude: number;
  /** Hz, as sampled. */
  readonly frequency: number;
}

export interface SwingSearch {
  readonly episodes: readonly Swing[];
  /** Samples per second used. */
  readonly rate: number;
}

/** s left out around lifts, which make dips of their own. */
const AROUND_LIFT = 8;
/** Hz; slower is following the load, not hunting. */
const SLOWEST = 0.08;

/** Windows in which one frequency holds most of the scatter and swings by `swing` or more; several in a row make an episode. */
export function swings(fan: FanDay, wrong: readonly Span[], options: FanOptions): SwingSearch {
  const interval = usualInterval(fan.channel.time);
  const rate = interval < 0.75 ? Math.min(5, Math.round(1 / interval)) : 1;
  const speed = rate === 1 ? fan.speed : bridged(meanPerCell(fan.channel.time, fan.channel.value, 0, 1 / rate, fan.speed.length * rate), rate);
  const found: Swing[] = [];
  for (const { start, end } of shrinkSpans(fan.judged, AROUND_LIFT, AROUND_LIFT)) {
    for (let from = Math.ceil(start); from + options.swingWindow <= end; from += options.swingWindow) {
      const span = { start: from, end: from + options.swingWindow };
      if (wrong.some((one) => one.start < span.end && span.start < one.end)) continue;
      const swing = swingIn(speed.subarray(span.start * rate, span.end * rate), rate, options);
      if (swing !== undefined) found.push({ ...span, ...swing });
    }
  }
  return { rate, episodes: inARow(found, options) };
}

/** Cells that jitter left without a sample take the one before, for at most a second. */
function bridged(values: Float64Array, rate: number): Float64Array {
  let missing = 0;
  for (let i = 1; i < values.length; i++) {
    missing = Number.isNaN(values[i] as number) ? missing + 1 : 0;
    if (missing > 0 && missing <= rate) values[i] = values[i - 1] as number;
  }
  return values;
}

/** Pass ends lie between windows: up to this long, s, is still in a row. */
const LONGEST_PAUSE = 180;

function inARow(found: readonly Swing[], options: FanOptions): readonly Swing[] {
  return joinSpans(found, LONGEST_PAUSE).flatMap((span) => {
    const own = found.filter(({ start }) => start >= span.start && start < span.end);
    return own.length < options.fewestSwings ? [] : [{ ...span, amplitude: median(own.map(({ amplitude }) => amplitude)), frequency: median(own.map(({ frequency }) => frequency)) }];
  });
}

function swingIn(values: Float64Array, rate: number, options: FanOptions): Pick<Swing, 'amplitude' | 'frequency'> | undefined {
  if (values.some(Number.isNaN)) return undefined;
  const level = median(values);
  const flat = withoutSlow(values, Math.round(10 * rate));
  const scatter = flat.reduce((sum, value) => sum + value * value, 0) / flat.length;
  let [power, frequency] = [0, 0];
  /* Twice as fine as the window's own resolution, up to a little below half the sampling rate. */
  for (let f = SLOWEST; f <= 0.45 * rate && f <= 1; f += 0.5 / options.swingWindow) {
    const here = powerAt(flat, f / rate);
    if (here > power) [power, frequency] = [here, f];
  }
  const amplitude = Math.sqrt(2 * power) / level;
  return amplitude >= options.swing && power >= options.oneFrequency * scatter ? { amplitude, frequency } : undefined;
}

/** Mean square that a frequency (cycles per sample) holds. */
export function powerAt(values: ArrayLike<number>, frequency: number): number {
  const [stepCos, stepSin] = [Math.cos(2 * Math.PI * frequency), Math.sin(2 * Math.PI * frequency)];
  let real = 0;
  let imaginary = 0;
  /* The pointer turns by one step each; over a window of minutes rounding leaves it within 1e-12. */
  let cos = 1;
  let sin = 0;
  for (let i = 0; i < values.length; i++) {
    real += (values[i] as number) * cos;
    imaginary += (values[i] as number) * sin;
    const next = cos * stepCos - sin * stepSin;
    sin = sin * stepCos + cos * stepSin;
    cos = next;
  }
  return 2 * (real * real + imaginary * imaginary) / values.length ** 2;
}

/** Values less their moving mean. */
function withoutSlow(values: Float64Array, half: number): Float64Array {
  return values.map((value, i) => {
    const around = values.subarray(Math.max(0, i - half), i + half + 1);
    return value - around.reduce((sum, one) => sum + one, 0) / around.length;
  });
}

/** Whether the pressure behind the fan beats with it, in most windows: at least half as strongly; the fan laws let expect twice. */
export function pressureSwings(pressure: Float64Array | undefined, { start, end, frequency, amplitude }: Swing, options: FanOptions): boolean {
  if (pressure === undefined || frequency > 0.45) return false;
  const shares: number[] = [];
  for (let from = start; from + options.swingWindow <= end; from += options.swingWindow) {
    const values = pressure.subarray(from, from + options.swingWindow);
    if (!values.some(Number.isNaN)) shares.push(Math.sqrt(2 * powerAt(withoutSlow(values, 10), frequency)) / median(values));
  }
  return median(shares) > amplitude / 2;
}
