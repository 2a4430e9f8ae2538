import type { Span } from '../../../shared/span.ts';

/** A stretch of the day in which the ratio stays at one level. */
export interface Level extends Span {
  /** Mean log ratio. */
  readonly level: number;
  /** Standard uncertainty of it. */
  readonly uncertainty: number;
  /** Seconds compared in it. */
  readonly seconds: number;
  /** Windows `from` to `to` (not included) of the day. */
  readonly from: number;
  readonly to: number;
}

export interface DayHistory {
  /** Levels the wheel ran at, slip taken out, in time order. One = nothing changed. */
  readonly base: readonly Level[];
  /** Low for a while and back again: the ground, not the wheel. */
  readonly slip: readonly Level[];
}

/**
 * Tells slip from a change of the wheel. A towed wheel skids, it does not overrun: slip is one-sided (low), and it ends.
 * So a stretch lower than what came before and after it is slip; what is left only rises and then falls, and its steps
 * may be changes. Neighbours closer than `same` are one level.
 */
export function dayHistory(levels: readonly Level[], same: number): DayHistory {
  const left = [...levels];
  const slip: Level[] = [];
  for (;;) {
    const close = left.findIndex((level, i) => i > 0 && Math.abs(level.level - (left[i - 1] as Level).level) < same);
    if (close > 0) {
      left.splice(close - 1, 2, joined(left[close - 1] as Level, left[close] as Level));
      continue;
    }
    const dip = left.findIndex((level, i) => i > 0 && i + 1 < left.length && level.level < Math.min((left[i - 1] as Level).level, (left[i + 1] as Level).level));
    if (dip < 0) break;
    slip.push(...left.splice(dip, 1));
  }
  return { base: left, slip: joinTouching(slip) };
}

/** Patches that follow each other without a comparison between them are one. */
export function joinTouching(levels: readonly Level[]): readonly Level[] {
  const patches: Level[] = [];
  for (const level of levels.toSorted((a, b) => a.start - b.start)) {
    const last = patches.at(-1);
    if (last !== undefined && last.to === level.from) patches[patches.length - 1] = joined(last, level);
    else patches.push(level);
  }
  return patches;
}

/** Two stretches as one, weighted by their lengths; what lies between them, if anything, is not weighed. */
function joined(a: Level, b: Level): Level {
  const seconds = a.seconds + b.seconds;
  const [shareA, shareB] = [a.seconds / seconds, b.seconds / seconds];
  return {
    start: a.start, end: b.end, from: a.from, to: b.to, seconds,
    level: a.level * shareA + b.level * shareB,
    uncertainty: Math.hypot(a.uncertainty * shareA, b.uncertainty * shareB),
  };
}
