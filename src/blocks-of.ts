import type { Blocks, Samples } from '../shared/api.ts';
import type { Channel } from '../shared/channel.ts';
import { firstMinMaxLast } from './series/decimate.ts';
import { indexAtOrBefore } from './series/resample.ts';

/** Samples per pixel column from which blocks are drawn instead of samples. */
const SAMPLES_PER_COLUMN = 4;

/** One channel over [from, to] s for a plot `columns` pixels wide: its samples, or first/min/max/last per column when there are many. */
export function blocksOf(channel: Channel, from: number, to: number, columns: number): Blocks | Samples {
  const { time, value } = channel;
  /* one sample beyond each edge, so that lines run out of the picture */
  const first = Math.max(0, indexAtOrBefore(time, from));
  const after = Math.min(time.length, indexAtOrBefore(time, to) + 2);
  const samples = Math.max(0, after - first);
  if (samples <= columns * SAMPLES_PER_COLUMN) {
    return { kind: 'samples', from, to, samples, time: time.slice(first, after), value: Float64Array.from(value.subarray(first, after)) };
  }
  const blocks = firstMinMaxLast(time, value, from, to, columns);
  return { kind: 'blocks', from, to, samples, time: blocks.time, first: blocks.first, min: blocks.min, max: blocks.max, last: blocks.last, count: blocks.count };
}
