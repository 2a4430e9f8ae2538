import type { Range } from './range.ts';

/** CSS pixels left of all lanes for names and scales, and right of them. */
export const gutterOf = (width: number): number => (width < 560 ? 44 : 66);
export const RIGHT = 10;

/** Where a time stands across a lane `width` pixels wide. */
export function xOf(time: number, { from, to }: Range, width: number): number {
  const left = gutterOf(width);
  return left + ((time - from) / (to - from)) * Math.max(1, width - left - RIGHT);
}

export function timeAt(x: number, { from, to }: Range, width: number): number {
  const left = gutterOf(width);
  return from + ((x - left) / Math.max(1, width - left - RIGHT)) * (to - from);
}

export const plotWidth = (width: number): number => Math.max(1, width - gutterOf(width) - RIGHT);
