import type { Channel } from '../../shared/channel.ts';
import type { Span } from '../../shared/span.ts';
import { indexAtOrBefore } from '../series/resample.ts';
import { spansWhere } from '../series/spans.ts';
import type { SectionSwitch } from './episodes.ts';
import { samplingOf } from './sampling.ts';
import type { Timeline } from './timeline.ts';

const SECTION = /^section\.(.+)\.on$/;

/**
 * Commanded edges of all sections. A state sampled at a steady pace changed on average half an interval before the
 * sample that shows it; a state sent on change, when it was sent, also when it is repeated at a steady pace besides.
 * An edge inside a gap has no time and is left out.
 */
export function sectionSwitches(channels: readonly Channel[]): readonly SectionSwitch[] {
  const seen = new Set<string>();
  const switches: SectionSwitch[] = [];
  for (const channel of channels) {
    const section = SECTION.exec(channel.id)?.[1];
    if (section === undefined || seen.has(section) || !channel.value.some(Number.isFinite)) continue;
    seen.add(section);
    switches.push(...edgesOf(section, channel));
  }
  return switches.toSorted((a, b) => a.time - b.time);
}

function edgesOf(section: string, channel: Channel): SectionSwitch[] {
  const { interval, longestGap, regular } = samplingOf(channel);
  const { time, value } = channel;
  const changes = changesOf(value);
  const pauseBefore = (i: number): number => (time[i] as number) - (time[i - 1] as number);
  const offBeat = changes.filter((i) => pauseBefore(i) < OFF_BEAT * interval).length;
  const late = regular && offBeat <= SENT_ON_CHANGE * changes.length ? 0.5 : 0;
  return changes.filter((i) => !regular || pauseBefore(i) <= longestGap).map((i) => {
    const pause = pauseBefore(i);
    return { section, time: (time[i] as number) - (pause <= 2 * interval ? late * pause : 0), on: (value[i] as number) > 0.5 };
  });
}

/** Sent on change: more than this share of the changes come off the steady beat, sooner after the sample before than the beat does. */
const SENT_ON_CHANGE = 0.2;
const OFF_BEAT = 0.8;

/** Indices of the samples whose state is not that of the sample before, both known. */
function changesOf(value: ArrayLike<number>): number[] {
  const changes: number[] = [];
  for (let i = 1; i < value.length; i++) {
    const from = value[i - 1] as number;
    const to = value[i] as number;
    if (from !== to && !Number.isNaN(from + to) && from > 0.5 !== to > 0.5) changes.push(i);
  }
  return changes;
}

/** When a section was commanded on: known seconds, with their ends at the exact time of the command. */
export function sectionOnSpans(timeline: Timeline, switches: readonly SectionSwitch[], section: string): readonly Span[] {
  const held = timeline.held(`section.${section}.on`);
  if (held === undefined) return [];
  const edges = switches.filter((each) => each.section === section);
  const times = edges.map((each) => each.time);
  const exact = (time: number, on: boolean): number => {
    const near = edges[indexAtOrBefore(times, time + 1)];
    return near !== undefined && near.on === on && Math.abs(near.time - time) <= 1 ? near.time : time;
  };
  return spansWhere(held.map((state) => (state > 0.5 ? 1 : 0)))
    .map(({ start, end }) => ({ start: exact(start, true), end: exact(end, false) }))
    .filter(({ start, end }) => end > start);
}
