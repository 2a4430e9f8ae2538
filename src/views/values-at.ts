import type { Channel } from '../../shared/channel.ts';
import type { Day } from '../../shared/day.ts';
import { samplingOf } from '../episodes/sampling.ts';
import { indexAtOrBefore } from '../series/resample.ts';

/** How long a value may be held, per channel: sampled at a steady pace, until a gap; sent on change, until the log pauses. */
export function createInstant({ channels, gaps }: Pick<Day, 'channels' | 'gaps'>): (channel: number, at: number) => number | null {
  const longest = new Map<Channel, number>();
  return (index, at) => {
    const channel = channels[index];
    if (channel === undefined) return null;
    let hold = longest.get(channel);
    if (hold === undefined) {
      const { regular, longestGap } = samplingOf(channel);
      hold = regular ? longestGap : Infinity;
      longest.set(channel, hold);
    }
    const i = indexAtOrBefore(channel.time, at);
    if (i < 0) return null;
    const since = channel.time[i] as number;
    const value = channel.value[i] as number;
    const isOld = at - since > hold || (hold === Infinity && gaps.some(({ file, span }) => file === channel.source.file && span.start >= since && span.end <= at));
    return isOld || Number.isNaN(value) ? null : value;
  };
}
