import type { Channel } from '../../shared/channel.ts';
import type { Span } from '../../shared/span.ts';
import { intersectSpans, joinSpans, spansWhere, unionSpans } from '../series/spans.ts';
import type { Motion } from './motion.ts';
import type { Timeline } from './timeline.ts';

/** m/s */
const SLOWEST = 0.5;
/** A flicker shorter than this does not interrupt work, s. */
const FLICKER = 2;
/** Without any better witness: m/s at which air drills work, 4.3–14 km/h, kept up for a minute. Common practice, no source. */
const WORK_SPEED = [1.2, 3.9] as const;
const SHORTEST_BY_SPEED = 60;

export interface Work {
  /** Tool in the ground and product commanded, moving or not. */
  readonly engaged: readonly Span[];
  /** Engaged and moving. */
  readonly working: readonly Span[];
}

/**
 * In the ground, commanded and moving faster than 0.5 m/s. Who says so, best witness first; one that is not logged, or
 * says nothing all day while the next one does, is passed over:
 * 1. the lift switch (`implement.working`), together with any section commanded on; without sections, with any meter's
 *    target above zero; without targets alone;
 * 2. any meter turning;
 * 3. any section commanded on;
 * 4. with none of these logged, speed in the range of drills at work for a minute.
 */
export function workOf(timeline: Timeline, channels: readonly Channel[], motion: Motion, metering: (meter: string) => readonly Span[]): Work {
  const moving = joinSpans(spansWhere(motion.speed.map((v) => (v > SLOWEST ? 1 : 0))), FLICKER);
  const sections = statesOf(timeline, channels, /^section\..+\.on$/);
  const meters = [...new Set(channels.map(({ id }) => METER.exec(id)?.[1]).filter((id) => id !== undefined))];
  const testimonies = [
    () => loweredAndCommanded(timeline, channels, sections),
    () => (meters.length === 0 ? undefined : joinSpans(unionSpans(...meters.map(metering)), FLICKER)),
    () => (sections.length === 0 ? undefined : whereTrue(timeline.length, (k) => sections.some((each) => (each[k] as number) > 0.5))),
  ];
  let isLogged = false;
  for (const testimony of testimonies) {
    const engaged = testimony();
    if (engaged === undefined) continue;
    isLogged = true;
    const working = intersectSpans(engaged, moving);
    if (working.length > 0) return { engaged, working };
  }
  const engaged = isLogged ? [] : spansAtWorkSpeed(motion.speed);
  return { engaged, working: intersectSpans(engaged, moving) };
}

const METER = /^meter\.(.+)\.(?:speed|turns)$/;

function loweredAndCommanded(timeline: Timeline, channels: readonly Channel[], sections: readonly Float64Array[]): readonly Span[] | undefined {
  const lowered = timeline.held('implement.working');
  if (lowered === undefined) return undefined;
  const commands = sections.length > 0 ? sections : statesOf(timeline, channels, /^meter\..+\.target$/);
  const least = sections.length > 0 ? 0.5 : 0;
  return whereTrue(timeline.length, (k) => (lowered[k] as number) > 0.5 && (commands.length === 0 || commands.some((each) => (each[k] as number) > least)));
}

const statesOf = (timeline: Timeline, channels: readonly Channel[], pattern: RegExp): readonly Float64Array[] =>
  [...new Set(channels.map(({ id }) => id).filter((id) => pattern.test(id)))].map((id) => timeline.held(id)).filter((each) => each !== undefined);

function whereTrue(length: number, condition: (second: number) => boolean): readonly Span[] {
  const mask = new Uint8Array(length);
  for (let k = 0; k < length; k++) mask[k] = condition(k) ? 1 : 0;
  return joinSpans(spansWhere(mask), FLICKER);
}

function spansAtWorkSpeed(speed: Float64Array): readonly Span[] {
  const [low, high] = WORK_SPEED;
  return joinSpans(spansWhere(speed.map((v) => (v >= low && v <= high ? 1 : 0))), FLICKER).filter(({ start, end }) => end - start >= SHORTEST_BY_SPEED);
}
