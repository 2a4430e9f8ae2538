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
 * sample that shows it; a state sent on change, when it was sent. An edge inside a gap has no time and is left out.
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
  const edges: SectionSwitch[] = [];
  let before = Number.NaN;
  let since = Number.NaN;
  for (let i = 0; i < value.length; i++) {
    const x = value[i] as number;
    const t = time[i] as number;
    const state = Number.isNaN(x) ? Number.NaN : Number(x > 0.5);
    const pause = t - since;
    const known = !Number.isNaN(state) && !Number.isNaN(before) && !(regular && pause > longestGap);
    if (known && state !== before) {
      const late = regular && pause <= 2 * interval ? pause / 2 : 0;
      edges.push({ section, time: t - late, on: state === 1 });
    }
    before = state;
    since = t;
  }
  return edges;
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
