import { biweightOfUnits } from '../../series/biweight.ts';
import { bootstrapInterval } from '../../series/bootstrap.ts';
import type { SpeedOptions } from './options.ts';
import type { RatioWindow } from './windows.ts';

/** Wheel ÷ GNSS with its 95 % interval, as logarithms, so that high and low count alike. */
export interface RatioEstimate {
  readonly logRatio: number;
  readonly low: number;
  readonly high: number;
  /** Half-width of the interval from the scatter alone (Type A), and from one-sided slip (Type B). */
  readonly scatter: number;
  readonly slip: number;
  /** Near-independent units behind it: passes, or blocks of windows. */
  readonly units: number;
  readonly windows: number;
  readonly seconds: number;
}

const RESAMPLES = 600;

/**
 * Biweight of the window log ratios; its scatter from a bootstrap over passes. `slippingShare` is the share of windows
 * that had to be left out for slip: what is left is a little one-sided still. What lag and rounding leave telescopes
 * within a window and differs in sign between windows, so the scatter holds it. Undefined when the units are too few.
 */
export function estimateRatio(windows: readonly RatioWindow[], slippingShare: number, options: SpeedOptions): RatioEstimate | undefined {
  const units = independentUnits(windows, options);
  if (windows.length < options.fewestWindows || units.length < 3) return undefined;
  const interval = bootstrapInterval(units.length, biweightOfUnits(units), { resamples: RESAMPLES, seed: windows.length });
  const slip = 2 * options.slipBias * slippingShare;
  const down = Math.hypot(interval.value - interval.low, slip);
  const up = Math.hypot(interval.high - interval.value, slip);
  return {
    logRatio: interval.value,
    low: interval.value - down,
    high: interval.value + up,
    scatter: (interval.high - interval.low) / 2,
    slip,
    units: units.length,
    windows: windows.length,
    seconds: windows.reduce((sum, { start, end }) => sum + end - start, 0),
  };
}

/** Log ratios by pass; where passes are few, by blocks of two minutes. */
function independentUnits(windows: readonly RatioWindow[], options: SpeedOptions): readonly Float64Array[] {
  const passes = grouped(windows, Number.POSITIVE_INFINITY);
  const units = passes.length >= options.fewestPasses ? passes : grouped(windows, options.windowsPerBlock);
  return units.map((unit) => Float64Array.from(unit, ({ logRatio }) => logRatio));
}

/** Windows in groups of at most `most`, by the steady stretch they lie in. */
function grouped(windows: readonly RatioWindow[], most: number): readonly (readonly RatioWindow[])[] {
  const groups: RatioWindow[][] = [];
  for (const window of windows) {
    const last = groups.at(-1);
    if (last !== undefined && last.length < most && last[0]?.stretch === window.stretch) last.push(window);
    else groups.push([window]);
  }
  return groups;
}

/** Act, fine, or not to be told yet: with how many more minutes of steady driving. */
export type Judgement = { readonly verdict: 'off' | 'fine' } | { readonly verdict: 'cannot-tell'; readonly moreSeconds: number };

/** Guard band: off only when the whole interval lies beyond the limit, fine only when it lies within. */
export function judge(estimate: RatioEstimate, limit: number): Judgement {
  if (estimate.low > limit || estimate.high < -limit) return { verdict: 'off' };
  if (estimate.low > -limit && estimate.high < limit) return { verdict: 'fine' };
  /* Scatter shrinks with the root of the time; it has to come below the distance to the limit. */
  const distance = Math.max(Math.abs(Math.abs(estimate.logRatio) - limit), limit / 10);
  return { verdict: 'cannot-tell', moreSeconds: Math.max(60, estimate.seconds * ((estimate.scatter / distance) ** 2 - 1)) };
}
