import type { Channel } from '../../shared/channel.ts';
import type { SectionSwitch } from './episodes.ts';
import { samplingOf } from './sampling.ts';

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
