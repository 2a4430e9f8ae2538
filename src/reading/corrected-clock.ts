import { NO_CHANGE, corrected, type ClockLine } from './clock-line.ts';
import type { ClockPlacement } from './clock-placement.ts';
import type { ClockStretch } from './record-clock.ts';

/** A stretch of a log's clock with what is added to its times. */
export interface PlacedStretch extends ClockStretch {
  readonly line: ClockLine;
  /** Whether the clock was so wrong that its samples only stand beside their neighbours in the file, not where they belong. */
  readonly isApart: boolean;
}

/** How a log's times, as logged, become seconds of the clock all logs of a day share. */
export interface CorrectedClock {
  /** In file order. */
  readonly stretches: readonly PlacedStretch[];
  /** First and last moment, corrected; NaN without any timed record. */
  readonly earliest: number;
  readonly latest: number;
}

/** A line that was found for a part of a stretch; parts of a stretch follow each other and cover it. */
export interface FoundPart {
  readonly first: number;
  readonly last: number;
  readonly line: ClockLine;
}

/** `found`: by stretch. A stretch nothing was found for keeps the clock of its neighbour, unless it was far off. */
export function correctClock(placement: ClockPlacement, found: ReadonlyMap<number, readonly FoundPart[]>): CorrectedClock {
  const known = placement.stretches.map((stretch, k) => found.get(k)?.map((part) => ({ ...part, records: stretch.records, isApart: false })));
  const lines = placement.stretches.map((stretch, k): readonly PlacedStretch[] | undefined => known[k] ?? (stretch.isMain ? [{ ...stretch, line: neighbour(k), isApart: false }] : undefined));
  const stretches = besideNeighbours(placement, lines);
  const ends = stretches.map((stretch) => [corrected(stretch.first, stretch.line), corrected(stretch.last, stretch.line)] as const);
  return {
    stretches,
    earliest: ends.length === 0 ? Number.NaN : Math.min(...ends.map(([first]) => first)),
    latest: ends.length === 0 ? Number.NaN : Math.max(...ends.map(([, last]) => last)),
  };

  function neighbour(k: number): ClockLine {
    const isUsable = (i: number): boolean => placement.stretches[i]?.isMain === true && known[i] !== undefined;
    for (let i = k - 1; i >= 0; i -= 1) if (isUsable(i)) return known[i]?.at(-1)?.line ?? NO_CHANGE;
    for (let i = k + 1; i < known.length; i += 1) if (isUsable(i)) return known[i]?.[0]?.line ?? NO_CHANGE;
    return NO_CHANGE;
  }
}

/** Stray stretches are laid end to end with their neighbours in the file, since how long the jump really was is unknown. */
function besideNeighbours(placement: ClockPlacement, lines: readonly (readonly PlacedStretch[] | undefined)[]): PlacedStretch[] {
  const placed = [...lines];
  const anchor = placed.findIndex((stretch) => stretch !== undefined);
  const apart = (k: number, offset: number): void => {
    const stretch = placement.stretches[k];
    if (stretch !== undefined) placed[k] = [{ ...stretch, line: { at: stretch.first, offset, drift: 0 }, isApart: true }];
  };
  for (let k = anchor - 1; k >= 0; k -= 1) {
    const next = placed[k + 1]?.[0];
    if (next !== undefined) apart(k, corrected(next.first, next.line) - (placement.stretches[k]?.last ?? 0));
  }
  for (let k = anchor + 1; k < placed.length; k += 1) {
    const before = placed[k - 1]?.at(-1);
    if (placed[k] === undefined && before !== undefined) apart(k, corrected(before.last, before.line) - (placement.stretches[k]?.first ?? 0));
  }
  return placed.flatMap((stretch) => stretch ?? []);
}
