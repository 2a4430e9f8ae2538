import type { Channel } from '../../shared/channel.ts';
import type { Day } from '../../shared/day.ts';
import type { Span } from '../../shared/span.ts';
import { holdPerCell, indexAtOrBefore, interpolateCounter, meanPerCell } from '../series/resample.ts';
import { spansWhere } from '../series/spans.ts';
import { oncePerKey } from './memo.ts';
import { samplingOf, type Sampling } from './sampling.ts';
import type { Timeline } from './timeline.ts';

/** Slower channels than this, in s, fill the seconds without a sample with the nearest one … */
const SLOW = 0.75;
/** … within this share of their usual interval: half of it, and a tenth for jitter. */
const NEAREST = 0.6;
/** How many of a log's busiest channels tell whether it was recording. */
const WITNESSES = 8;

/** Angles and longitudes, whose mean must not be spoilt by the jump from full turn to zero: turn, lowest value shown. */
const CYCLES: ReadonlyMap<string, { readonly turn: number; readonly lowest: number }> = new Map([
  ['gnss.course', { turn: 2 * Math.PI, lowest: 0 }],
  ['heading', { turn: 2 * Math.PI, lowest: 0 }],
  ['gnss.lon', { turn: 360, lowest: -180 }],
]);

/** One-second views of a day's channels. Of several channels with the same id the first with a value counts. */
export function createTimeline({ channels, duration }: Pick<Day, 'channels' | 'duration'>): Timeline {
  const length = Math.max(0, Math.floor(duration));
  const named = new Map<string, Channel>();
  for (const channel of channels) {
    if (!named.has(channel.id) && channel.value.some(Number.isFinite)) named.set(channel.id, channel);
  }
  const sampling = oncePerKey((id) => {
    const channel = named.get(id);
    return channel === undefined ? undefined : samplingOf(channel);
  });
  const silences = oncePerKey((file) => silencesOf(channels.filter(({ source }) => source.file === file), length));

  const mean = oncePerKey((id) => {
    const samples = sampling(id);
    return samples === undefined ? undefined : meanView(id, samples, length);
  });
  const held = oncePerKey((key) => {
    const [id = '', longest = ''] = key.split(' ');
    const samples = sampling(id);
    const channel = named.get(id);
    if (samples === undefined || channel === undefined) return undefined;
    if (longest !== '') return holdPerCell(channel.time, channel.value, 0, 1, length, Number(longest));
    if (samples.regular) return holdPerCell(channel.time, channel.value, 0, 1, length, samples.longestGap);
    return heldWhileRecording(channel, silences(channel.source.file), length);
  });
  const counter = oncePerKey((id) => {
    const samples = sampling(id);
    return samples === undefined
      ? undefined
      : interpolateCounter(samples.time, samples.value, 0, 1, length + 1, { longestGap: samples.longestGap });
  });
  return { length, mean, held: (id, longest) => held(longest === undefined ? id : `${id} ${longest}`), counter };
}

function meanView(id: string, { time, value, interval }: Sampling, length: number): Float64Array {
  const cycle = CYCLES.get(id);
  const straight = cycle === undefined ? value : unrolled(value, cycle.turn);
  const cells = meanPerCell(time, straight, 0, 1, length);
  if (interval > SLOW) fillWithNearest(cells, time, straight, NEAREST * interval);
  if (cycle !== undefined) {
    for (let k = 0; k < length; k++) cells[k] = rolledUp(cells[k] as number, cycle.turn, cycle.lowest);
  }
  return cells;
}

function fillWithNearest(cells: Float64Array, time: Float64Array, value: ArrayLike<number>, reach: number): void {
  let at = -1;
  for (let k = 0; k < cells.length; k++) {
    const middle = k + 0.5;
    while (at + 1 < time.length && (time[at + 1] as number) <= middle) at++;
    if (!Number.isNaN(cells[k] as number)) continue;
    const before = at >= 0 ? middle - (time[at] as number) : Infinity;
    const after = at + 1 < time.length ? (time[at + 1] as number) - middle : Infinity;
    if (Math.min(before, after) <= reach) cells[k] = value[before <= after ? at : at + 1] as number;
  }
}

/** The angles without jumps of a full turn. */
function unrolled(value: ArrayLike<number>, turn: number): Float64Array {
  const straight = new Float64Array(value.length);
  let last = value.length > 0 ? (value[0] as number) : 0;
  for (let i = 0; i < value.length; i++) {
    const step = (value[i] as number) - last;
    last += Math.abs(step) < turn / 2 ? step : step - turn * Math.round(step / turn);
    straight[i] = last;
  }
  return straight;
}

const rolledUp = (angle: number, turn: number, lowest: number): number => angle - turn * Math.floor((angle - lowest) / turn);

/**
 * States sent on change say nothing while nothing changes, so that only the log's own silence makes them unknown: from
 * the silence to their next sample.
 */
function heldWhileRecording({ time, value }: Channel, silences: readonly Span[], length: number): Float64Array {
  const cells = holdPerCell(time, value, 0, 1, length, Infinity);
  for (const { start, end } of silences) {
    const next = indexAtOrBefore(time, end - 1e-9) + 1;
    const known = next < time.length ? (time[next] as number) : Infinity;
    cells.fill(Number.NaN, Math.max(0, Math.ceil(start - 0.5)), Math.min(length, Math.max(0, Math.ceil(known - 0.5))));
  }
  return cells;
}

/** Whole seconds in which none of a log's busiest channels had a sample, where they last longer than a gap. */
function silencesOf(channels: readonly Channel[], length: number): Span[] {
  const busiest = channels.toSorted((a, b) => b.time.length - a.time.length).slice(0, WITNESSES);
  const silent = new Uint8Array(length).fill(1);
  let longest = Infinity;
  for (const channel of busiest) {
    longest = Math.min(longest, samplingOf(channel).longestGap);
    for (const t of channel.time) if (t >= 0 && t < length) silent[Math.floor(t)] = 0;
  }
  return spansWhere(silent).filter(({ start, end }) => end - start >= longest);
}
