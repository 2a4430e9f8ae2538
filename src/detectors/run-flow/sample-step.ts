import type { Channel } from '../../../shared/channel.ts';
import { median } from '../../series/robust.ts';

/** Whole seconds between samples of the run counts, at least 1: the cell in which counts are independent of each other. */
export function sampleStep(channels: readonly Channel[]): number {
  const intervals = channels.slice(0, 8).flatMap(({ time }) => {
    const some = Math.min(time.length - 1, 2000);
    return some < 1 ? [] : [median(Float64Array.from({ length: some }, (_, k) => (time[k + 1] as number) - (time[k] as number)))];
  });
  return intervals.length === 0 ? 1 : Math.max(1, Math.round(median(intervals)));
}
