import type { Channel } from '../../../shared/channel.ts';

/** When counters began again. */
export interface CounterReset {
  readonly time: number;
  readonly channels: readonly string[];
}

const COUNTERS = /^(?:wheel\.(?:pulses|distance)|meter\..+\.turns)$/;
/** A count that falls from above this share of a full register went over its end. */
const NEAR_FULL = 0.9;
const REGISTERS = [2 ** 16, 2 ** 24, 2 ** 32];
/** s; counters of one device start together. */
const TOGETHER = 30;

/** Counts that fall back to near nothing: the sender was switched on anew. */
export function counterResets(channels: readonly Channel[]): readonly CounterReset[] {
  const falls = channels.filter(({ id }) => COUNTERS.test(id)).flatMap(fallsOf).toSorted((a, b) => a.time - b.time);
  const resets: { time: number; channels: string[] }[] = [];
  for (const { time, id } of falls) {
    const last = resets.at(-1);
    if (last !== undefined && time - last.time < TOGETHER) {
      if (!last.channels.includes(id)) last.channels.push(id);
    } else resets.push({ time, channels: [id] });
  }
  return resets;
}

function fallsOf({ id, time, value }: Channel): { readonly time: number; readonly id: string }[] {
  const falls: { time: number; id: string }[] = [];
  let before = Number.NaN;
  for (let i = 0; i < value.length; i++) {
    const now = value[i] as number;
    if (Number.isNaN(now)) continue;
    /* Down by more than half, to less than a tenth of it: not a revised digit. */
    if (before > 10 && now < 0.1 * before && !REGISTERS.some((size) => before > NEAR_FULL * size && before < size)) falls.push({ time: time[i] as number, id });
    before = now;
  }
  return falls;
}
