import type { Span } from '../../../shared/span.ts';
import type { RatioWindow } from './windows.ts';

/** Windows looked at on either side of an edge that is known to some minutes. */
const REACH = 10;

/**
 * From the first to the last window of a low stretch, to the window. `rough` is known to the blocks of a level, and steady
 * windows are scarce where a wheel skids; so `windows` are all that were made, unsteady ones too. Levels are log ratios.
 */
export function slipEdges(rough: Span, { base, slip }: { readonly base: number; readonly slip: number }, windows: readonly RatioWindow[]): Span {
  const first = windows.findIndex(({ start }) => start >= rough.start);
  const beyond = windows.findLastIndex(({ end }) => end <= rough.end) + 1;
  if (first < 0 || beyond <= first) return rough;
  /* 1 = like the rest of the day, -1 = as low as the stretch; no window counts for more, however wild. */
  const side = ({ logRatio }: RatioWindow): number => Math.max(-1, Math.min(1, (2 * logRatio - base - slip) / (base - slip)));
  const middle = (first + beyond) >> 1;
  const start = bestSplit(windows, Math.max(0, first - REACH), Math.min(middle, first + REACH), (window) => side(window));
  const end = bestSplit(windows, Math.max(middle, beyond - REACH), Math.min(windows.length, beyond + REACH), (window) => -side(window));
  return { start: windows[start]?.start ?? rough.start, end: windows[end - 1]?.end ?? rough.end };
}

/** The index up to which windows of [from, to) side with before, and from which on with after. */
function bestSplit(windows: readonly RatioWindow[], from: number, to: number, before: (window: RatioWindow) => number): number {
  let [best, most, sum] = [from, 0, 0];
  for (let i = from; i < to; i++) {
    sum += before(windows[i] as RatioWindow);
    if (sum > most) [best, most] = [i + 1, sum];
  }
  return best;
}
