import type { Span } from '../../../shared/span.ts';
import { median } from '../../series/robust.ts';
import type { TankTrack, TrackSource } from './tank-track.ts';

/** A load cell that stopped following the load. */
export interface DeadCell extends Span {
  /** Channel, e.g. `tank.2.cell.3`. */
  readonly channel: string;
  readonly cells: number;
  /** Share of the load it carried before, by what it lost per turn of the meter; 1 ÷ cells where that cannot be told. */
  readonly share: number;
  /** kg, 95 % half-width of the share's own uncertainty. */
  readonly shareHalfWidth: number;
  /** kg it stands at. */
  readonly reading: number;
}

export interface CellOptions {
  /** s; windows in which a cell's life is judged. */
  readonly windowSeconds: number;
  /** A live cell changes in this share of the seconds while the machine works; a frozen one in fewer than a tenth of that. */
  readonly liveShare: number;
  /** Live cells move together with the bounce of the cart: correlation of their one-second changes with their neighbours'. */
  readonly liveCorrelation: number;
}

interface Cell {
  readonly id: string;
  readonly value: Float64Array;
}

/** Cells whose reading freezes or sits at a stop while their neighbours move with the machine; the longest dead first. */
export function deadCells(track: TankTrack, { channels, timeline }: TrackSource, options: CellOptions): readonly DeadCell[] {
  const cells = channels(`tank.${track.tank.id}.cell.*`).flatMap(({ id }): readonly Cell[] => {
    const value = timeline.mean(id);
    return value === undefined ? [] : [{ id, value }];
  });
  if (cells.length < 2) return [];
  const dead = cells.flatMap((cell) => {
    const frozen = frozenSpan(cell, cells.filter((other) => other !== cell), track, options);
    return frozen === undefined ? [] : [{ ...frozen, ...shareBefore(cell, cells, frozen.start, track), channel: cell.id, cells: cells.length, reading: readingIn(cell, frozen) }];
  });
  return dead.toSorted((a, b) => b.end - b.start - (a.end - a.start));
}

/** The longest run of windows in which this cell stands still, or moves for itself, while its neighbours move together. */
function frozenSpan(cell: Cell, others: readonly Cell[], track: TankTrack, options: CellOptions): Span | undefined {
  const { windowSeconds } = options;
  let longest: Span | undefined;
  let start = -1;
  let windows = 0;
  let isFrozen = false;
  const close = (end: number): void => {
    /* Standing still is plain in one window; moving for itself is a matter of statistics. */
    const isSure = isFrozen || windows >= 3;
    if (start >= 0 && isSure && end - start > (longest === undefined ? 0 : longest.end - longest.start)) longest = { start, end };
    start = -1;
    windows = 0;
    isFrozen = false;
  };
  let lastFrozen = 0;
  for (let from = 0; from + windowSeconds <= cell.value.length; from += windowSeconds) {
    const to = from + windowSeconds;
    /* Standing machines tell nothing: cells may all be still. */
    const state = isFeeding(track, from, to) ? stateIn(cell, others, from, to, options) : 'unknown';
    if (state === 'unknown') continue;
    if (state !== 'live') {
      /* Still from some second on: that second is known, and a window before it was only half dead. */
      const since = state === 'frozen' && !isFrozen ? lastChange(cell.value, from) : Math.max(start, 0);
      start = start < 0 && state !== 'frozen' ? from : Math.max(start, since);
      windows++;
      isFrozen ||= state === 'frozen';
      lastFrozen = to;
    } else close(lastFrozen);
  }
  close(lastFrozen);
  return longest !== undefined && longest.end - longest.start >= windowSeconds ? longest : undefined;
}

function stateIn(cell: Cell, others: readonly Cell[], from: number, to: number, { liveShare, liveCorrelation }: CellOptions): 'live' | 'frozen' | 'alone' | 'unknown' {
  const lively = median(others.map((other) => changeShare(other.value, from, to)));
  if (!(lively >= liveShare)) return 'unknown';
  const changing = changeShare(cell.value, from, to);
  if (changing < 0.1 * lively) return 'frozen';
  const together = median(others.map((other) => correlation(other, others.filter((third) => third !== other), from, to)));
  if (!(together >= liveCorrelation)) return changing > 0 ? 'live' : 'unknown';
  return correlation(cell, others, from, to) < 0.4 * together ? 'alone' : 'live';
}

/** Correlation between the one-second changes of a cell and of the sum of others; 0 when the cell does not change. */
function correlation({ value }: Cell, others: readonly Cell[], from: number, to: number): number {
  let own = 0;
  let theirs = 0;
  let both = 0;
  for (let k = from + 1; k < to; k++) {
    const a = (value[k] as number) - (value[k - 1] as number);
    let b = 0;
    for (let c = 0; c < others.length; c++) b += ((others[c] as Cell).value[k] as number) - ((others[c] as Cell).value[k - 1] as number);
    if (!Number.isFinite(a + b)) continue;
    own += a * a;
    theirs += b * b;
    both += a * b;
  }
  return own > 0 && theirs > 0 ? both / Math.sqrt(own * theirs) : 0;
}

/** Share of the seconds in which the reading is not the one before; NaN without enough readings. */
function changeShare(value: Float64Array, from: number, to: number): number {
  let known = 0;
  let changed = 0;
  for (let k = from + 1; k < to; k++) {
    const difference = (value[k] as number) - (value[k - 1] as number);
    if (Number.isNaN(difference)) continue;
    known++;
    if (difference !== 0) changed++;
  }
  return known < 0.5 * (to - from) ? Number.NaN : changed / known;
}

/** Feeding for at least half of the time: the machine works and shakes. */
function isFeeding({ feed }: TankTrack, from: number, to: number): boolean {
  if (feed === undefined) return true;
  let seconds = 0;
  for (let k = from; k < to; k++) if ((feed[k] as number) > 0) seconds++;
  return seconds >= 0.5 * (to - from);
}

/** The second after which the reading no longer changes, going back from `from`. */
function lastChange(value: Float64Array, from: number): number {
  let k = from;
  while (k > 0 && !(Math.abs((value[k] as number) - (value[k - 1] as number)) > 0)) k--;
  return k;
}

function readingIn({ value }: Cell, { start, end }: Span): number {
  return median([...value.subarray(start, end)].filter(Number.isFinite));
}

/** What part of the tank's loss this cell showed while it lived: least-squares slopes against the fed turns. */
function shareBefore(cell: Cell, cells: readonly Cell[], until: number, { fed }: TankTrack): Pick<DeadCell, 'share' | 'shareHalfWidth'> {
  const even = { share: 1 / cells.length, shareHalfWidth: 0.5 / cells.length };
  if (fed === undefined || until < 1800) return even;
  const blocks: { readonly cell: number; readonly all: number }[] = [];
  for (let from = 0; from + 600 <= until; from += 600) {
    const lost = (value: Float64Array): number => middle(value, from) - middle(value, from + 599);
    const all = cells.reduce((sum, { value }) => sum + lost(value), 0);
    if ((fed[from + 599] as number) - (fed[from] as number) > 0 && all > 0) blocks.push({ cell: lost(cell.value), all });
  }
  const total = blocks.reduce((sum, block) => sum + block.all, 0);
  if (blocks.length < 3 || total < 300) return even;
  const share = blocks.reduce((sum, block) => sum + block.cell, 0) / total;
  const scatter = Math.sqrt(blocks.reduce((sum, block) => sum + (block.cell - share * block.all) ** 2, 0) / (blocks.length - 1));
  return { share, shareHalfWidth: (2 * scatter * Math.sqrt(blocks.length)) / total };
}

function middle(value: Float64Array, at: number): number {
  return median([...value.subarray(Math.max(0, at - 15), at + 15)].filter(Number.isFinite));
}
