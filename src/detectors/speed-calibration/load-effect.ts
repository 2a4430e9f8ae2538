import type { Episodes } from '../../episodes/episodes.ts';
import type { Timeline } from '../../episodes/timeline.ts';
import { lagOneAutocorrelation } from '../../series/autocorrelation.ts';
import { meanOf as mean } from '../../series/moments.ts';
import type { RatioWindow } from './windows.ts';

/** A tyre that flattens under load rolls further per turn when the cart is empty: no calibration error. */
export interface LoadEffect {
  /** Change of the log ratio per kg on the cart. */
  readonly perKilogram: number;
  /** kg between the fullest and the emptiest window. */
  readonly range: number;
  /** The windows as they would be at the day's mean load. */
  readonly windows: readonly RatioWindow[];
}

/** Least effect worth taking out, over the day's range of load: 0.3 %, of 0.5–3 % that tyres do (common practice, no source). */
const LEAST_EFFECT = 0.003;
const LEAST_RANGE = 500;
const FEWEST_WINDOWS = 12;
const SURE = 4;

/**
 * Slope of the ratio against the load within the stretches between fills, so that a change at a fill cannot pass for it;
 * taken only when it is sure, and when the ratio jumps back at the fills as that slope says.
 */
export function loadEffect(windows: readonly RatioWindow[], timeline: Timeline, episodes: Episodes, tanks: readonly string[]): LoadEffect | undefined {
  const masses = tanks.map((tank) => timeline.mean(`tank.${tank}.mass`)).filter((mass) => mass !== undefined);
  const fills = tanks.flatMap((tank) => episodes.fills(tank)).map(({ start, end }) => (start + end) / 2).toSorted((a, b) => a - b);
  const loaded = windows.map((window) => ({
    window, load: masses.reduce((sum, mass) => sum + meanOver(mass, window.start, window.end), 0), cycle: fills.filter((time) => time < window.start).length,
  }));
  if (masses.length === 0 || loaded.some(({ load }) => Number.isNaN(load))) return undefined;
  const cycles = [...new Set(loaded.map(({ cycle }) => cycle))].map((cycle) => loaded.filter((one) => one.cycle === cycle)).filter((own) => own.length >= FEWEST_WINDOWS);
  const loads = loaded.map(({ load }) => load);
  const range = Math.max(...loads) - Math.min(...loads);
  if (cycles.length < 2 || range < LEAST_RANGE) return undefined;

  const each = cycles.map(centredOn);
  const slope = slopeOf(each.flat(), cycles.length);
  const { perKilogram } = slope;
  if (Math.abs(perKilogram) * range < LEAST_EFFECT || Math.abs(perKilogram) < SURE * slope.standardError) return undefined;
  /* Every cycle must show it for itself: a wheel that changed in the midst of one leaves a slope in that one alone. */
  if (each.map((points) => slopeOf(points, 1)).some((one) => one.perKilogram * Math.sign(perKilogram) + 2 * one.standardError < Math.abs(perKilogram) / 2)) return undefined;
  const middles = cycles.map((own) => mean(own.map(({ window, load }) => window.logRatio - perKilogram * load)));
  /* With the load taken out the cycles agree; a drift over the day would not come back at a fill. */
  if (Math.max(...middles) - Math.min(...middles) > Math.abs(perKilogram) * range / 2) return undefined;
  const usual = mean(loads);
  return { perKilogram, range, windows: loaded.map(({ window, load }) => ({ ...window, logRatio: window.logRatio - perKilogram * (load - usual) })) };
}

interface Point {
  /** kg and log ratio, less their means. */
  readonly x: number;
  readonly y: number;
}

function centredOn(cycle: readonly { readonly load: number; readonly window: RatioWindow }[]): readonly Point[] {
  const [load, ratio] = [mean(cycle.map((one) => one.load)), mean(cycle.map(({ window }) => window.logRatio))];
  return cycle.map((one) => ({ x: one.load - load, y: one.window.logRatio - ratio }));
}

/** Least squares through the origin of `means` centred groups, the error widened for neighbours that scatter alike. */
function slopeOf(points: readonly Point[], means: number): { readonly perKilogram: number; readonly standardError: number } {
  const xx = points.reduce((sum, { x }) => sum + x * x, 0);
  const perKilogram = points.reduce((sum, { x, y }) => sum + x * y, 0) / xx;
  const residuals = points.map(({ x, y }) => y - perKilogram * x);
  const r = Math.max(0, lagOneAutocorrelation(residuals));
  const variance = residuals.reduce((sum, e) => sum + e * e, 0) / (residuals.length - means - 1) * ((1 + r) / (1 - r));
  return { perKilogram, standardError: Math.sqrt(variance / xx) };
}

function meanOver(values: Float64Array, start: number, end: number): number {
  let [sum, count] = [0, 0];
  for (let k = start; k < end; k++) {
    const value = values[k] as number;
    if (Number.isNaN(value)) continue;
    sum += value;
    count++;
  }
  return sum / count;
}
