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
  const edges: SectionSwitch[] = [];
  const late = regular && !isSentOnChange(channel, interval) ? 0.5 : 0;
  let before = Number.NaN;
  let since = Number.NaN;
  for (let i = 0; i < value.length; i++) {
    const x = value[i] as number;
    const t = time[i] as number;
    const state = Number.isNaN(x) ? Number.NaN : Number(x > 0.5);
    const pause = t - since;
    const known = !Number.isNaN(state) && !Number.isNaN(before) && !(regular && pause > longestGap);
    if (known && state !== before) {
      edges.push({ section, time: pause <= 2 * interval ? t - late * pause : t, on: state === 1 });
    }
    before = state;
    since = t;
  }
  return edges;
}

/** Changes off the steady beat: a fifth of them come sooner after the sample before than the beat does. */
function isSentOnChange({ time, value }: Channel, interval: number): boolean {
  let changes = 0;
  let offBeat = 0;
  for (let i = 1; i < value.length; i++) {
    const [from, to] = [value[i - 1] as number, value[i] as number];
    if (Number.isNaN(from + to) || from > 0.5 === to > 0.5) continue;
    changes++;
    if ((time[i] as number) - (time[i - 1] as number) < OFF_BEAT * interval) offBeat++;
  }
  return offBeat > 0.2 * changes;
}

const OFF_BEAT = 0.8;

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
