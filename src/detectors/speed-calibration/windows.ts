import type { Span } from '../../../shared/span.ts';
import { median } from '../../series/robust.ts';
import type { SpeedOptions } from './options.ts';

/** One steady stretch of about half a minute, in which wheel and receiver are compared. */
export interface RatioWindow extends Span {
  /** ln(way by wheel ÷ way by GNSS). */
  readonly logRatio: number;
  /** Standard deviation of the log ratios of its parts. */
  readonly unevenness: number;
  /** Which steady stretch it lies in. */
  readonly stretch: number;
  /** Tool out of the ground. */
  readonly lifted: boolean;
  /** m by GNSS. */
  readonly length: number;
}

/** Sums over any stretch of a series of seconds, with fractions of seconds at its ends. */
export interface Running {
  /** NaN when a second in it is unknown. */
  readonly between: (start: number, end: number) => number;
}

export function running(perSecond: Float64Array): Running {
  const sum = new Float64Array(perSecond.length + 1);
  const unknown = new Uint32Array(perSecond.length + 1);
  for (let k = 0; k < perSecond.length; k++) {
    const value = perSecond[k] as number;
    const known = Number.isFinite(value);
    sum[k + 1] = (sum[k] as number) + (known ? value : 0);
    unknown[k + 1] = (unknown[k] as number) + (known ? 0 : 1);
  }
  const at = (time: number): number => {
    const k = Math.min(Math.floor(time), perSecond.length - 1);
    return (sum[k] as number) + ((sum[k + 1] as number) - (sum[k] as number)) * (time - k);
  };
  return {
    between: (start, end) => {
      if (start < 0 || end > perSecond.length || !(start < end)) return Number.NaN;
      return unknown[Math.ceil(end)] === unknown[Math.floor(start)] ? at(end) - at(start) : Number.NaN;
    },
  };
}

export interface WindowInput {
  /** m in each second by wheel and by GNSS. */
  readonly wheel: Float64Array;
  readonly ground: Float64Array;
  /** Seconds the receiver's speed comes later than the wheel's. */
  readonly lag: number;
  readonly steady: readonly Span[];
  readonly working: readonly Span[];
}

/** Every steady stretch cut into equal windows of `windowSeconds` or a little more; windows with an unknown second are left out. */
export function ratioWindows(input: WindowInput, options: SpeedOptions): readonly RatioWindow[] {
  const wheel = running(input.wheel);
  const ground = running(input.ground);
  const logRatio = (start: number, end: number): number => {
    const way = ground.between(start + input.lag, end + input.lag);
    return way > options.slowest * (end - start) ? Math.log(wheel.between(start, end) / way) : Number.NaN;
  };
  const windows: RatioWindow[] = [];
  input.steady.forEach((span, stretch) => {
    const first = Math.ceil(span.start);
    const count = Math.floor((Math.floor(span.end) - first) / options.windowSeconds);
    const seconds = (Math.floor(span.end) - first) / count;
    for (let i = 0; i < count; i++) {
      const start = first + Math.round(i * seconds);
      const end = first + Math.round((i + 1) * seconds);
      const value = logRatio(start, end);
      if (!Number.isFinite(value)) continue;
      const parts = Array.from({ length: Math.floor((end - start) / options.partSeconds) }, (_, part) =>
        logRatio(start + part * options.partSeconds, start + (part + 1) * options.partSeconds));
      const known = parts.filter((part) => !Number.isNaN(part));
      windows.push({
        start, end, stretch, logRatio: value,
        unevenness: deviation(known),
        lifted: !input.working.some((work) => work.start < end && start < work.end),
        length: ground.between(start + input.lag, end + input.lag),
      });
    }
  });
  return windows;
}

/** Root mean square from the mean; infinite when a part stands still. */
function deviation(values: readonly number[]): number {
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
  if (!Number.isFinite(mean)) return Number.POSITIVE_INFINITY;
  return Math.sqrt(values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / Math.max(1, values.length - 1));
}

/** Windows whose parts scatter no more than usual; the others hold slip bursts, gaps or a receiver that came back. */
export function steadyWindows(windows: readonly RatioWindow[], options: SpeedOptions): readonly RatioWindow[] {
  const usual = median(windows.map(({ unevenness }) => unevenness).filter(Number.isFinite));
  return windows.filter(({ unevenness }) => unevenness <= options.unsteadyTimes * usual);
}
