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
  const times = new Float64Array(channel.time.length);
  const values = channel.value instanceof Float64Array ? new Float64Array(times.length) : new Float32Array(times.length);
  let kept = 0;
  for (let i = 0; i < times.length; i++) {
    if (!keep(channel.time[i] as number)) continue;
    times[kept] = (channel.time[i] as number) + shift;
    values[kept] = channel.value[i] as number;
    kept++;
  }
  return { ...channel, time: times.slice(0, kept), value: values.slice(0, kept) };
}
