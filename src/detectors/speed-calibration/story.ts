import type { Channel } from '../../../shared/channel.ts';
import type { Span } from '../../../shared/span.ts';
import { lagBetween } from '../../series/lag.ts';
import type { Timeline } from '../../episodes/timeline.ts';
import type { Episodes } from '../../episodes/episodes.ts';
import { levelsOfDay } from './history.ts';
import { dayHistory, type Level } from './levels.ts';
import { loadEffect, type LoadEffect } from './load-effect.ts';
import type { SpeedOptions } from './options.ts';
import { estimateRatio, type RatioEstimate } from './ratio-estimate.ts';
import { isShift, stepsBetween, type Step } from './shifts.ts';
import { slipEdges } from './slip-edges.ts';
import { ratioWindows, steadyWindows, type RatioWindow } from './windows.ts';

/** What the day says about the wheel, in numbers. */
export interface WheelStory {
  /** s by which GNSS speed comes later. */
  readonly lag: number;
  /** Every comparison made, in time order. */
  readonly windows: readonly RatioWindow[];
  /** Seconds compared. */
  readonly seconds: number;
  /** Over the day, slip taken out: what is asked of the wheel. */
  readonly whole: RatioEstimate | undefined;
  /** Until the first shift; the whole day when there is none. */
  readonly first: RatioEstimate | undefined;
  readonly firstSpan: Span;
  /** The stretches driven with the tool lifted, when there were enough. */
  readonly lifted: RatioEstimate | undefined;
  readonly shifts: readonly Step[];
  /** Stretches read low by the ground, and steps that the ground may have made. */
  readonly slips: readonly Slip[];
  /** How the ratio follows the load, when it does; already taken out. */
  readonly load: LoadEffect | undefined;
  /** Compared with the tool in the ground; false = on lifted stretches only. */
  readonly inWork: boolean;
}

export interface Slip extends Span {
  readonly estimate: RatioEstimate;
  /** Came back to what it was before. */
  readonly returned: boolean;
}

export interface StoryInput {
  readonly timeline: Timeline;
  readonly episodes: Episodes;
  readonly wheel: Float64Array;
  readonly ground: Float64Array;
  readonly pulses: Channel | undefined;
  /** Ids of the tanks whose weight was logged. */
  readonly tanks: readonly string[];
}

/** A day in more pieces than this changes with the place, not with the time. */
const MOST_LEVELS = 8;
/** At most this share of the windows may be put down to slip. */
const MOST_SLIP = 0.4;

export function wheelStory({ timeline, episodes, wheel, ground, pulses, tanks }: StoryInput, options: SpeedOptions): WheelStory {
  const lag = lagOf(wheel, ground, options);
  const { steady, working } = episodes;
  const all = ratioWindows({ wheel, ground, lag, steady, working }, options);
  const windows = steadyWindows(all, options);
  const slippingShare = all.length === 0 ? 0 : Math.max(0, 1 - windows.length / all.length - options.chanceShare);
  const inField = windows.filter((window) => !window.lifted);
  const onRoad = windows.filter((window) => window.lifted);
  const inWork = inField.length >= options.fewestWindows;
  const compared = inWork ? inField : onRoad;
  const load = loadEffect(compared, timeline, episodes, tanks);
  const field = load?.windows ?? compared;
  const everyWindow = load?.windows ?? all.filter(({ lifted }) => lifted !== inWork);

  const levels = levelsOfDay(field, options);
  const history = levels.length > MOST_LEVELS ? { base: [], slip: [] } : dayHistory(levels, options.sameLevel);
  const driveSpeed = timeline.mean('drive.speed');
  const drive = driveSpeed === undefined ? [] : ratioWindows({ wheel: driveSpeed, ground, lag, steady, working }, options);
  const steps = stepsBetween(history.base, { field, lifted: onRoad, drive, pulses, steady, slippingShare }, options);
  const shifts = steps.filter(isShift);
  const low = [...history.slip, ...steps.filter((step) => !isShift(step)).map(({ before, after }) => (before.level < after.level ? before : after))];
  const isLow = (index: number): boolean => low.some(({ from, to }) => from <= index && index < to);
  const clean = field.filter((_, index) => !isLow(index));
  const base = clean.length < (1 - MOST_SLIP) * field.length ? field : clean;
  const firstEnd = shifts[0]?.time ?? Number.POSITIVE_INFINITY;
  const whole = estimateRatio(base, slippingShare, options);
  return {
    lag, windows, whole, shifts, load, inWork,
    seconds: field.reduce((sum, { start, end }) => sum + end - start, 0),
    first: shifts.length === 0 ? whole : estimateRatio(base.filter(({ end }) => end <= firstEnd), slippingShare, options),
    firstSpan: { start: windows[0]?.start ?? 0, end: Math.min(firstEnd, windows.at(-1)?.end ?? 0) },
    lifted: inWork ? estimateRatio(onRoad, slippingShare, options) : undefined,
    slips: low.flatMap((level) => slipOf(level, history.slip.includes(level), { field, everyWindow, whole }, options)).toSorted((a, b) => a.start - b.start),
  };
}

interface Compared {
  readonly field: readonly RatioWindow[];
  /** Unsteady ones too; where a load effect was taken out, those of the field. */
  readonly everyWindow: readonly RatioWindow[];
  readonly whole: RatioEstimate | undefined;
}

function slipOf(level: Level, returned: boolean, { field, everyWindow, whole }: Compared, options: SpeedOptions): readonly Slip[] {
  const estimate = estimateRatio(field.slice(level.from, level.to), 0, options);
  if (estimate === undefined || whole === undefined || estimate.high > whole.logRatio - options.limit / 2) return [];
  return [{ ...slipEdges(level, { base: whole.logRatio, slip: estimate.logRatio }, everyWindow), estimate, returned }];
}

function lagOf(wheel: Float64Array, ground: Float64Array, options: SpeedOptions): number {
  const { lag } = lagBetween(wheel, ground, 1, { longest: options.longestLag });
  return Number.isNaN(lag) ? 0 : lag;
}
