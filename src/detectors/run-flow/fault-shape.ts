import type { FlowEpisode } from './run-episodes.ts';
import type { JudgedRun } from './tower-runs.ts';

/** How a loss came: at once, or growing over a time worth naming. */
export interface FaultShape {
  readonly kind: 'sudden' | 'slow';
  /** Judged entry at which it began; for a slow one where its ramp leaves 1, before the charts saw it. */
  readonly from: number;
  /** Flow ÷ expected once settled: the whole episode when sudden, its plateau or last minutes when slow. */
  readonly settledFrom: number;
  /** The flow went from normal to nothing from one sample to the next. */
  readonly atOnce: boolean;
}

const WINDOW = 60;
/** Entries looked back for the begin of a ramp. */
const LOOK_BACK = 9000;
/** A ramp shorter than this many windows is a step. */
const SHORTEST_RAMP = 20;
/** How much better than a step a ramp has to fit (ratio of squared residuals). */
const BETTER = 1.5;
const GRID = 40;
const LAST_WINDOWS = 10;

export function faultShape(run: JudgedRun, episode: FlowEpisode): FaultShape {
  const atOnce = episode.ratio.value < 0.05 && betweenAtOnset(run, episode.from) === 0;
  const sudden: FaultShape = { kind: 'sudden', from: episode.from, settledFrom: episode.from, atOnce };
  const first = Math.max(0, Math.floor((episode.from - LOOK_BACK) / WINDOW));
  const ratios = windowRatios(run, first, Math.floor(episode.to / WINDOW));
  const onset = episode.from / WINDOW - first;
  if (ratios.length - onset < SHORTEST_RAMP) return sudden;
  const step = bestRamp(ratios, onset, true);
  const ramp = bestRamp(ratios, onset, false);
  if (ramp.end - ramp.start < SHORTEST_RAMP || step.residual < BETTER * ramp.residual) return sudden;
  const settled = Math.min(ramp.end, ratios.length - LAST_WINDOWS);
  return { kind: 'slow', from: Math.min(episode.from, (first + ramp.start) * WINDOW), settledFrom: (first + Math.max(0, settled)) * WINDOW, atOnce: false };
}

/** Counts ÷ expected per window; NaN where nothing was expected. */
export function windowRatios(run: Pick<JudgedRun, 'counts' | 'expected'>, from: number, to: number): Float64Array {
  const ratios = new Float64Array(Math.max(0, to - from)).fill(Number.NaN);
  for (let w = from; w < to; w++) {
    let counts = 0;
    let expected = 0;
    for (let j = w * WINDOW; j < (w + 1) * WINDOW; j++) {
      const count = run.counts[j] as number;
      const due = run.expected[j] as number;
      if (Number.isNaN(count + due)) continue;
      counts += count;
      expected += due;
    }
    if (expected > 0) ratios[w - from] = counts / expected;
  }
  return ratios;
}

interface Ramp {
  readonly start: number;
  readonly end: number;
  readonly residual: number;
}

/** Least squares of 1 up to `start`, straight to a level at `end`, and that level on; a step has start = end. */
function bestRamp(ratios: Float64Array, onset: number, asStep: boolean): Ramp {
  const n = ratios.length;
  const stride = Math.max(1, n / GRID);
  let best: Ramp = { start: 0, end: 0, residual: Number.POSITIVE_INFINITY };
  const consider = (start: number, end: number): void => {
    const residual = residualOf(ratios, start, end);
    if (residual < best.residual) best = { start, end, residual };
  };
  if (asStep) {
    for (let at = 0; at < n; at += Math.max(1, stride / 4)) consider(Math.round(at), Math.round(at));
    consider(Math.round(onset), Math.round(onset));
    return best;
  }
  for (let start = 0; start < n; start += stride) for (let end = start; end <= n + stride; end += stride) consider(Math.round(start), Math.round(Math.min(n, end)));
  const coarse = best;
  for (let start = coarse.start - stride; start <= coarse.start + stride; start++) {
    for (let end = coarse.end - stride; end <= coarse.end + stride; end += Math.max(1, stride / 4)) if (start >= 0 && end >= start) consider(Math.round(start), Math.round(Math.min(n, end)));
  }
  return best;
}

function residualOf(ratios: Float64Array, start: number, end: number): number {
  let slopes = 0;
  let products = 0;
  let squares = 0;
  for (let w = 0; w < ratios.length; w++) {
    const loss = 1 - (ratios[w] as number);
    if (Number.isNaN(loss)) continue;
    const share = w < start ? 0 : w >= end ? 1 : (w - start + 0.5) / (end - start);
    slopes += share * share;
    products += share * loss;
    squares += loss * loss;
  }
  return slopes > 0 ? squares - (products * products) / slopes : squares;
}

/** Cells near the onset that are neither normal nor nothing: a plug fills the hose over some seconds, a dead sensor has none. */
function betweenAtOnset(run: JudgedRun, from: number): number {
  let between = 0;
  for (let j = Math.max(0, from - 3); j < Math.min(run.counts.length, from + 8); j++) {
    const ratio = (run.counts[j] as number) / (run.expected[j] as number);
    if (ratio > 0.08 && ratio < 0.6) between++;
  }
  return between;
}
