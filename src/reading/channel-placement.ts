import type { Channel } from '../../shared/channel.ts';
import { corrected } from './clock-line.ts';
import type { CorrectedClock } from './corrected-clock.ts';
import { createStretchTracker } from './stretch-tracker.ts';

/** A channel on the day's clock, and whether it holds only what came again after its log's clock was set back. */
export interface PlacedChannel {
  readonly channel: Channel;
  /** 0 = the main part; 1, 2, … = parts whose times lie within it. */
  readonly part: number;
}

/**
 * Times as logged → seconds from the day's start. Nothing is sorted or dropped: samples whose time lies before one already
 * passed go, in their order, to a further channel of the same id, as do those of a stretch when the log's clock was far off.
 * Time arrays may be shared between channels and are changed in place: the channels passed in must not be used afterwards.
 */
export function placeChannels(channels: readonly Channel[], clock: CorrectedClock, toDay: number): readonly PlacedChannel[] {
  const plans = new Map<Float64Array, Plan>();
  return channels.flatMap((channel) => {
    const known = plans.get(channel.time);
    const plan = known ?? planOf(channel.time, clock, toDay);
    if (known === undefined) plans.set(channel.time, plan);
    return applied(plan, channel);
  });
}

/** `whole`: the array itself serves; otherwise which part each sample goes to (NO_PART = it has no time), and each part's times. */
type Plan =
  | { readonly whole: Float64Array }
  | { readonly partOf: Uint16Array; readonly times: readonly Float64Array[]; readonly notes: readonly string[] };

const NO_PART = 0xffff;
const MOST_PARTS = 1000;

function planOf(time: Float64Array, clock: CorrectedClock, toDay: number): Plan {
  if (isOrdinary(time, clock)) {
    const line = clock.stretches[0]?.line ?? { at: 0, offset: 0, drift: 0 };
    const added = line.offset + toDay;
    for (let i = 0; i < time.length; i += 1) {
      const t = time[i] as number;
      time[i] = t + (added + line.drift * (t - line.at));
    }
    return { whole: time };
  }
  const { partOf, ends, moved } = distribute(time, clock);
  const counts = ends.map(() => 0);
  for (const part of partOf) if (part !== NO_PART) counts[part] = (counts[part] as number) + 1;
  const times = counts.map((count) => new Float64Array(count));
  const filled = counts.map(() => 0);
  for (let i = 0; i < time.length; i += 1) {
    const part = partOf[i] as number;
    if (part === NO_PART) continue;
    const at = filled[part] as number;
    (times[part] as Float64Array)[at] = (moved[i] as number) + toDay;
    filled[part] = at + 1;
  }
  return { partOf, times, notes: ends.map(({ note }) => note) };
}

/** Times that never go back, under one line. */
function isOrdinary(time: Float64Array, { stretches }: CorrectedClock): boolean {
  const first = stretches[0];
  if (first === undefined || stretches.some(({ line, isApart }) => isApart || line !== first.line)) return false;
  let before = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < time.length; i += 1) {
    const t = time[i] as number;
    if (!(t >= before)) return false;
    before = t;
  }
  return true;
}

/** Each sample to the first part in which time does not go back; stray stretches have parts of their own. */
function distribute(time: Float64Array, { stretches }: CorrectedClock): { readonly partOf: Uint16Array; readonly ends: readonly { readonly note: string }[]; readonly moved: Float64Array } {
  const partOf = new Uint16Array(time.length).fill(NO_PART);
  const moved = new Float64Array(time.length);
  const ends: { end: number; note: string; isApart: boolean }[] = [{ end: Number.NEGATIVE_INFINITY, note: '', isApart: false }];
  const stretchOf = createStretchTracker(stretches);
  for (let i = 0; i < time.length; i += 1) {
    const t = time[i] as number;
    if (Number.isNaN(t)) continue;
    const stretch = stretches[stretchOf(t)];
    const isApart = stretch?.isApart === true;
    const at = stretch === undefined ? t : corrected(t, stretch.line);
    let part = ends.findIndex((candidate) => candidate.isApart === isApart && at >= candidate.end);
    if (part < 0) {
      part = ends.length;
      if (part >= MOST_PARTS) continue;
      ends.push({ end: at, note: isApart ? 'while the clock was far off' : 'after a clock step back', isApart });
    }
    (ends[part] as { end: number }).end = at;
    moved[i] = at;
    partOf[i] = part;
  }
  return { partOf, ends, moved };
}

function applied(plan: Plan, channel: Channel): PlacedChannel[] {
  if ('whole' in plan) return [{ channel: { ...channel, time: plan.whole }, part: 0 }];
  const { partOf, times, notes } = plan;
  const values = times.map((time) => (channel.value instanceof Float32Array ? new Float32Array(time.length) : new Float64Array(time.length)));
  const filled = times.map(() => 0);
  for (let i = 0; i < partOf.length; i += 1) {
    const part = partOf[i] as number;
    if (part === NO_PART) continue;
    const at = filled[part] as number;
    (values[part] as Float64Array)[at] = channel.value[i] as number;
    filled[part] = at + 1;
  }
  return times.flatMap((time, part) => {
    if (time.length === 0) return [];
    const note = notes[part] ?? '';
    const source = note === '' ? channel.source : { ...channel.source, note };
    return [{ channel: { ...channel, source, time, value: values[part] as Float64Array }, part }];
  });
}
