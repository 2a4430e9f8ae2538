import type { Channel } from '../../../shared/channel.ts';
import type { Interval, Span } from '../../../shared/span.ts';
import { median, medianAbsoluteDeviation } from '../../series/robust.ts';
import { changeBetween } from './history.ts';
import type { Level } from './levels.ts';
import { missingTooth, type MissingTooth } from './missing-tooth.ts';
import type { SpeedOptions } from './options.ts';
import { estimateRatio, type RatioEstimate } from './ratio-estimate.ts';
import type { RatioWindow } from './windows.ts';

/** A step of the ratio that did not go back. */
export interface Step {
  readonly before: Level;
  readonly after: Level;
  readonly time: number;
  /** 95 % bounds of the time. */
  readonly earliest: number;
  readonly latest: number;
  /** After ÷ before. */
  readonly ratio: Interval;
  /** Wheel ÷ GNSS before and after. */
  readonly was: RatioEstimate;
  readonly is: RatioEstimate;
  readonly cause: StepCause;
  readonly tooth?: MissingTooth;
}

/**
 * `tooth`, `lifted`: shown to be the wheel by the count itself, or by lifted stretches that stepped as well. `ground`:
 * lifted stretches did not step, the tractor's slip stepped too, or the low side scatters as slip does. `open`: large
 * for slip, nothing else to go by. `small`: slip may be that large.
 */
export type StepCause = 'tooth' | 'lifted' | 'ground' | 'open' | 'small';

export interface StepWitnesses {
  readonly field: readonly RatioWindow[];
  readonly lifted: readonly RatioWindow[];
  /** Tractor wheel ÷ GNSS in the same windows, when logged. */
  readonly drive: readonly RatioWindow[];
  readonly pulses: Channel | undefined;
  readonly steady: readonly Span[];
  readonly slippingShare: number;
}

/** The steps between levels that are surely larger than the limit, with what the log says about their cause. */
export function stepsBetween(levels: readonly Level[], witnesses: StepWitnesses, options: SpeedOptions): readonly Step[] {
  return levels.slice(1).flatMap((after, i) => {
    const before = levels[i] as Level;
    const was = estimateRatio(witnesses.field.slice(before.from, before.to), witnesses.slippingShare, options);
    const is = estimateRatio(witnesses.field.slice(after.from, after.to), witnesses.slippingShare, options);
    if (was === undefined || is === undefined) return [];
    const step = is.logRatio - was.logRatio;
    const reach = Math.hypot((was.high - was.low) / 2, (is.high - is.low) / 2);
    if (Math.abs(step) - reach <= options.limit) return [];
    const ratio = { value: Math.exp(step), low: Math.exp(step - reach), high: Math.exp(step + reach) };
    const change = changeBetween(witnesses.field, before, after, options);
    const tooth = step < 0 && witnesses.pulses !== undefined
      ? missingTooth(witnesses.pulses, witnesses.steady, { start: before.start, end: change.low }, { start: change.high, end: after.end }, ratio)
      : undefined;
    const cause = tooth === undefined ? causeOf(step, before, after, change.time, witnesses, options) : 'tooth';
    return [{ before, after, time: change.time, earliest: change.low, latest: change.high, ratio, was, is, cause, ...(tooth === undefined ? {} : { tooth }) }];
  });
}

function causeOf(step: number, before: Level, after: Level, time: number, { field, lifted, drive }: StepWitnesses, options: SpeedOptions): StepCause {
  const liftedStep = stepIn(lifted.filter(({ end }) => end <= time), lifted.filter(({ start }) => start >= time), options);
  if (liftedStep !== undefined) {
    if (Math.abs(liftedStep - step) < options.limit) return 'lifted';
    if (Math.abs(liftedStep) < options.limit) return 'ground';
  }
  const own = (level: Level): readonly RatioWindow[] => field.slice(level.from, level.to);
  const inside = (windows: readonly RatioWindow[], level: Level): readonly RatioWindow[] => windows.filter(({ start, end }) => start >= level.start && end <= level.end);
  const driveStep = stepIn(inside(drive, before), inside(drive, after), options);
  if (driveStep !== undefined && driveStep * Math.sign(step) < -options.driveStep) return 'ground';
  const [low, high] = step < 0 ? [after, before] : [before, after];
  const scatter = (level: Level): number => medianAbsoluteDeviation(own(level).map(({ logRatio }) => logRatio));
  if (Math.abs(step) < options.patchStep && scatter(low) > SLIP_SCATTER * scatter(high)) return 'ground';
  const byGround = low.end - low.start < options.patchSeconds ? options.patchStep : options.groundStep;
  return Math.abs(step) < byGround ? 'small' : 'open';
}

/** A slipping wheel scatters more than a rolling one: sd 3 % against 0.5–1.5 % (common practice, no source). */
const SLIP_SCATTER = 1.7;

function stepIn(before: readonly RatioWindow[], after: readonly RatioWindow[], options: SpeedOptions): number | undefined {
  if (before.length < options.fewestWindows || after.length < options.fewestWindows) return undefined;
  const level = (windows: readonly RatioWindow[]): number => median(windows.map(({ logRatio }) => logRatio));
  return level(after) - level(before);
}

/** Whether the wheel itself changed, as far as the log can say. */
export const isShift = ({ cause }: Step): boolean => cause !== 'ground' && cause !== 'small';
