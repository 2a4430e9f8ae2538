import type { Channel } from '../../shared/channel.ts';
import { median } from '../series/robust.ts';
import { fitClock, type ClockPoint, type FittedClock } from './clock-line.ts';

/** UTC by GNSS or network time, against a log's own clock. */
export interface ToldClock {
  readonly fit: FittedClock;
  /** Comparisons. */
  readonly n: number;
  /** Times 1,024 weeks that were added to the receiver's date. */
  readonly rollovers: number;
}

const BLOCKS = 60;
/** s; messages' delays change by less over a day. */
const TELLING_DRIFT = 1;
/** s; messages come late by up to a second, and a receiver without leap seconds is another matter: less is not acted on. */
export const ACTED_ON = 2;
/** GPS counts weeks modulo 1,024 (IS-GPS-200, 20.3.3.3.1.1): an old receiver's date falls back by so much. */
const ROLLOVER = 1024 * 7 * 86_400;
const NEAR_ROLLOVER = 7 * 86_400;

/**
 * Blocks of comparisons (channel `clock.offset`) as points: seconds to add at logged times. `belongs` is asked
 * of every time in order, whether it is meant.
 */
export function toldPoints(channel: Channel, belongs: (time: number) => boolean): { readonly points: readonly ClockPoint[]; readonly n: number } {
  const times: number[] = [];
  const added: number[] = [];
  for (let i = 0; i < channel.time.length; i += 1) {
    const t = channel.time[i] as number;
    const x = channel.value[i] as number;
    if (!belongs(t) || !Number.isFinite(x)) continue;
    times.push(t);
    added.push(x);
  }
  const n = times.length;
  const blocks = n < 9 ? n : Math.min(BLOCKS, Math.floor(n / 3));
  const points = Array.from({ length: blocks }, (_, k) => {
    const from = Math.floor((k * n) / blocks);
    const to = Math.floor(((k + 1) * n) / blocks);
    return { time: median(times.slice(from, to)), added: median(added.slice(from, to)) };
  });
  return { points, n };
}

/**
 * What to add to a clock that has been told UTC, from the logged time `at` on; undefined when the comparisons contradict each
 * other. `near`: a date the told one is to agree with but for rollovers, where one is known.
 */
export function toldClock(points: readonly ClockPoint[], n: number, at: number, near: number | undefined): ToldClock | undefined {
  const short = near === undefined ? 0 : near - at - median(points.map(({ added }) => added));
  const back = Math.round(short / ROLLOVER);
  const rollovers = Math.abs(short - back * ROLLOVER) < NEAR_ROLLOVER ? back : 0;
  const fit = fitClock(rollovers === 0 ? points : points.map(({ time, added }) => ({ time, added: added + rollovers * ROLLOVER })), at, TELLING_DRIFT);
  if (fit === undefined || fit.strays > fit.used.length / 2) return undefined;
  return { fit, n, rollovers };
}

/** Whether a told line changes the clock by more than the messages' own delays. */
export function isActedOn({ fit }: ToldClock, span: number): boolean {
  return Math.max(Math.abs(fit.line.offset), Math.abs(fit.line.offset + fit.line.drift * span)) > ACTED_ON;
}
