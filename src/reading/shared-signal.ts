import type { Channel, ChannelSource } from '../../shared/channel.ts';
import { indexAtOrBefore } from '../series/resample.ts';
import { median } from '../series/robust.ts';

/** What of the machine two logs may both have seen. Nothing here waits for product to travel. */
export type SignalKind = 'speed' | 'lift' | 'engine';

/** One quantity over a stretch of a log, times never decreasing. */
export interface Trace {
  readonly id: string;
  readonly kind: SignalKind;
  readonly sender: string;
  readonly time: Float64Array;
  readonly value: Float64Array;
}

export interface TracePair {
  readonly a: Trace;
  readonly b: Trace;
  /** Whether both logs hold the same quantity, so that no device's own delay is between them. */
  readonly isSame: boolean;
}

/** What the sensors themselves may add, in seconds. */
export interface Tolerance {
  /** Clocks closer than this are taken as one. */
  readonly offset: number;
  /** A drift that moves the clock by less over the log is not acted on. */
  readonly drift: number;
  /** Half width of a 95 % interval for delays no comparison can see. */
  readonly typeB: number;
}

/**
 * The same quantity needs no allowance but for its sampling. A receiver tells speed 0.1 to 0.3 s late, a cart's wheel the
 * mean of the last tenths of a second (common practice, no source); a driven wheel slips with grade and load besides.
 */
export function toleranceOf({ a, b, isSame }: TracePair): Tolerance {
  if (isSame) return { offset: 0.3, drift: 0.3, typeB: 0.1 };
  return a.id === 'drive.speed' || b.id === 'drive.speed' ? { offset: 1, drift: 1, typeB: 0.5 } : { offset: 0.5, drift: 0.6, typeB: 0.2 };
}

/** In order of preference as the other side of a pair. */
const KINDS: readonly (readonly [string, SignalKind])[] = [
  ['gnss.speed', 'speed'], ['ground.speed', 'speed'], ['wheel.speed', 'speed'], ['drive.speed', 'speed'], ['engine.speed', 'engine'], ['implement.working', 'lift'],
];
const MOST_PAIRS = 4;
/** s; across a longer pause of a trace nothing is known. */
const LONGEST_HOLD = 5;
/** s; several samples within this are averaged around a moment. */
const DENSE = 0.34;
const HALF_WINDOW = 0.5;

/** The usable channels of a log; `belongs` makes what tells, for each of a channel's times in order, whether it is meant. */
export function tracesOf(channels: readonly Channel[], belongs: () => (time: number) => boolean): readonly Trace[] {
  return KINDS.flatMap(([id, kind]) => {
    const channel = channels.find((candidate) => candidate.id === id);
    if (channel === undefined) return [];
    const trace = { id, kind, sender: senderOf(channel.source), ...ordered(channel, belongs()) };
    return trace.time.length < 2 ? [] : [trace];
  });
}

/** All that names a sender within its log. */
export function senderOf({ column, bus, sourceAddress, name, pgn, spn, ddi, element }: ChannelSource): string {
  return JSON.stringify([column, bus, name ?? sourceAddress, pgn, spn, ddi, element]);
}

/** The same quantity in both first, then one speed against another. */
export function pairsOf(a: readonly Trace[], b: readonly Trace[]): readonly TracePair[] {
  const pairs = a.flatMap((first) => b.filter((second) => second.id === first.id || (second.kind === 'speed' && first.kind === 'speed')).map((second) => ({ a: first, b: second, isSame: first.id === second.id })));
  return pairs.sort((x, y) => Number(y.isSame) - Number(x.isSame)).slice(0, MOST_PAIRS);
}

/** Traces of logs that follow each other as one. */
export function chained(traces: readonly Trace[]): Trace {
  const [first] = traces;
  if (first === undefined) throw new Error('no traces to chain');
  if (traces.length === 1) return first;
  const length = traces.reduce((sum, { time }) => sum + time.length, 0);
  const time = new Float64Array(length);
  const value = new Float64Array(length);
  let at = 0;
  for (const trace of traces) {
    time.set(trace.time, at);
    value.set(trace.value, at);
    at += trace.time.length;
  }
  return { ...first, time, value };
}

/** Records that were written slightly out of order, and samples without a value, are of no use here. */
function ordered({ time, value }: Channel, belongs: (time: number) => boolean): Pick<Trace, 'time' | 'value'> {
  const times = new Float64Array(time.length);
  const values = new Float64Array(time.length);
  let kept = 0;
  let latest = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < time.length; i += 1) {
    const t = time[i] as number;
    const x = value[i] as number;
    if (!belongs(t) || !(t >= latest) || !Number.isFinite(x)) continue;
    times[kept] = t;
    values[kept] = x;
    kept += 1;
    latest = t;
  }
  return { time: times.subarray(0, kept), value: values.subarray(0, kept) };
}

/**
 * The trace at `count` moments `step` seconds apart: dense samples averaged half a second to either side, sparse ones
 * between their two neighbours, both without a delay; NaN where it pauses. Speeds as logarithms, so that a wrong
 * wheel constant, slip and the far faster road weigh alike.
 */
export function sampled(trace: Trace, start: number, step: number, count: number): Float64Array {
  const { time, value, kind } = trace;
  const samples = new Float64Array(count).fill(Number.NaN);
  const isDense = usualInterval(time) <= DENSE;
  const hold = kind === 'lift' ? Number.POSITIVE_INFINITY : LONGEST_HOLD;
  let i = -1;
  let low = 0;
  for (let k = 0; k < count; k += 1) {
    const t = start + k * step;
    if (k === 0) i = indexAtOrBefore(time, t);
    while (i + 1 < time.length && (time[i + 1] as number) <= t) i += 1;
    if (i < 0 || i + 1 >= time.length) continue;
    const before = time[i] as number;
    const pause = (time[i + 1] as number) - before;
    if (pause > hold) continue;
    if (kind === 'lift') samples[k] = value[i] as number;
    else if (isDense) {
      if (k === 0) low = Math.max(0, indexAtOrBefore(time, t - HALF_WINDOW));
      while (low < i && (time[low] as number) < t - HALF_WINDOW) low += 1;
      let sum = 0;
      let n = 0;
      for (let j = low; j < time.length && (time[j] as number) <= t + HALF_WINDOW; j += 1) {
        sum += value[j] as number;
        n += 1;
      }
      samples[k] = scaled(sum / n, kind);
    } else samples[k] = scaled((value[i] as number) + ((t - before) / pause) * ((value[i + 1] as number) - (value[i] as number)), kind);
  }
  return samples;
}

/** m/s and rpm that keep the noise of a standing machine small in the logarithm; a lift is 0 or 1 as it is. */
const FLOOR: Readonly<Record<SignalKind, number>> = { speed: 0.5, engine: 200, lift: 0 };
const scaled = (x: number, kind: SignalKind): number => Math.log(FLOOR[kind] + Math.max(0, x));

/** The mean of samples below which a machine did not move on the whole. */
export const standing = (kind: SignalKind): number => (kind === 'lift' ? 0 : scaled(0.6 * FLOOR[kind], kind));

/** Means over cells, for a search that need not be fine. */
export function cellMeans(trace: Trace, start: number, step: number, count: number): Float64Array {
  if (trace.kind === 'lift') return sampled(trace, start + step / 2, step, count);
  const means = new Float64Array(count);
  const n = new Uint32Array(count);
  for (let i = 0; i < trace.time.length; i += 1) {
    const cell = Math.floor(((trace.time[i] as number) - start) / step);
    if (cell < 0 || cell >= count) continue;
    means[cell] = (means[cell] as number) + (trace.value[i] as number);
    n[cell] = (n[cell] as number) + 1;
  }
  return means.map((sum, cell) => ((n[cell] as number) > 0 ? scaled(sum / (n[cell] as number), trace.kind) : Number.NaN));
}

function usualInterval(time: Float64Array): number {
  const stride = Math.max(1, Math.floor(time.length / 500));
  const steps: number[] = [];
  for (let i = 1; i < time.length; i += stride) steps.push((time[i] as number) - (time[i - 1] as number));
  return median(steps);
}
