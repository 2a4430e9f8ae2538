import type { Channel } from '../../../shared/channel.ts';
import { during, faultsOf } from './plan.ts';
import type { DayPlan } from './plan.ts';
import type { Random } from './random.ts';

/** Log gaps and single lost samples. */
export function loseRecords(plan: DayPlan, channels: readonly Channel[], random: Random): readonly Channel[] {
  const gaps = faultsOf(plan, 'log-gap');
  const losses = faultsOf(plan, 'samples-lost');
  if (gaps.length === 0 && losses.length === 0) return channels;
  return channels.map((channel) => {
    const mine = gaps.filter((gap) => channel.source.file.startsWith(gap.file));
    return keepSamples(channel, (time) => !mine.some((gap) => during(gap, time)) && !losses.some((loss) => during(loss, time) && random.uniform() < 1 / loss.every));
  });
}

/** The channel with only the samples that pass, shifted by `shift` seconds. */
export function keepSamples(channel: Channel, keep: (time: number) => boolean, shift = 0): Channel {
  const indices: number[] = [];
  for (let i = 0; i < channel.time.length; i++) if (keep(channel.time[i] as number)) indices.push(i);
  const value = channel.value instanceof Float64Array ? new Float64Array(indices.length) : new Float32Array(indices.length);
  const time = new Float64Array(indices.length);
  for (const [to, from] of indices.entries()) {
    time[to] = (channel.time[from] as number) + shift;
    value[to] = channel.value[from] as number;
  }
  return { ...channel, time, value };
}
