import type { Span } from '../../shared/span.ts';

/*
 * A list of spans is sorted by start and nothing in it overlaps or touches; every function here returns such a list.
 * Lists given in any other order are put right first, so that no answer depends on it. Spans are half-open: [start, end).
 */

function inOrder(spans: readonly Span[]): boolean {
  for (let i = 0; i < spans.length; i++) {
    const span = spans[i] as Span;
    if (!(span.end > span.start)) return false;
    if (i > 0 && span.start <= (spans[i - 1] as Span).end) return false;
  }
  return true;
}

/** Sorted, merged where they overlap or touch, empty ones left out. */
function ordered(spans: readonly Span[]): readonly Span[] {
  return inOrder(spans) ? spans : joinSpans(spans, 0);
}

/** Every stretch covered by any of the lists. */
export function unionSpans(...lists: readonly (readonly Span[])[]): Span[] {
  return joinSpans(lists.flat(), 0);
}

/** Merges spans that overlap, touch, or lie closer than this; empty spans are left out. */
export function joinSpans(spans: readonly Span[], closerThanSeconds: number): Span[] {
  const sorted = spans.filter((span) => span.end > span.start);
  if (!inOrder(sorted)) sorted.sort((a, b) => a.start - b.start);
  const joined: Span[] = [];
  for (const span of sorted) {
    const last = joined.at(-1);
    if (last !== undefined && (span.start <= last.end || span.start - last.end < closerThanSeconds)) {
      if (span.end > last.end) joined[joined.length - 1] = { start: last.start, end: span.end };
    } else joined.push({ start: span.start, end: span.end });
  }
  return joined;
}

/** Every stretch covered by both lists. */
export function intersectSpans(a: readonly Span[], b: readonly Span[]): Span[] {
  const left = ordered(a);
  const right = ordered(b);
  const common: Span[] = [];
  for (let i = 0, j = 0; i < left.length && j < right.length; ) {
    const one = left[i] as Span;
    const other = right[j] as Span;
    const start = Math.max(one.start, other.start);
    const end = Math.min(one.end, other.end);
    if (end > start) common.push({ start, end });
    if (one.end < other.end) i++;
    else j++;
  }
  return common;
}

/** Every stretch covered by `a` and not by `b`. */
export function subtractSpans(a: readonly Span[], b: readonly Span[]): Span[] {
  const right = ordered(b);
  const left: Span[] = [];
  let j = 0;
  for (const span of ordered(a)) {
    let { start } = span;
    while (j < right.length && (right[j] as Span).end <= start) j++;
    for (let k = j; k < right.length && (right[k] as Span).start < span.end; k++) {
      const hole = right[k] as Span;
      if (hole.start > start) left.push({ start, end: hole.start });
      start = Math.max(start, hole.end);
    }
    if (start < span.end) left.push({ start, end: span.end });
  }
  return left;
}

/** Covered time; what is covered twice counts once. */
export function totalSeconds(spans: readonly Span[]): number {
  let total = 0;
  for (const span of ordered(spans)) total += span.end - span.start;
  return total;
}

/** Whether a span covers time t. Takes a sorted list as returned here; log n steps. */
export function contains(spans: readonly Span[], t: number): boolean {
  let low = 0;
  let high = spans.length;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if ((spans[middle] as Span).end <= t) low = middle + 1;
    else high = middle;
  }
  const span = spans[low];
  return span !== undefined && span.start <= t;
}

/** Each span less its first and last seconds (e.g. transport delays); negative seconds widen. What is left empty goes. */
export function shrinkSpans(spans: readonly Span[], headSeconds: number, tailSeconds: number): Span[] {
  const shrunk = ordered(spans).map((span) => ({ start: span.start + headSeconds, end: span.end - tailSeconds }));
  return joinSpans(shrunk, 0);
}

/** Spans of a mask whose i-th entry stands for [start + i·step, start + (i + 1)·step). */
export function spansWhere(mask: ArrayLike<number | boolean>, start = 0, step = 1): Span[] {
  const spans: Span[] = [];
  let from = -1;
  for (let i = 0; i <= mask.length; i++) {
    const on = i < mask.length && Boolean(mask[i]);
    if (on && from < 0) from = i;
    else if (!on && from >= 0) {
      spans.push({ start: start + from * step, end: start + i * step });
      from = -1;
    }
  }
  return spans;
}

/** One entry per second [i, i + 1) of the day, 1 where the middle of the second is covered. */
export function maskOf(spans: readonly Span[], length: number): Uint8Array {
  const mask = new Uint8Array(length);
  for (const span of spans) {
    const first = Math.max(0, Math.ceil(span.start - 0.5));
    const after = Math.min(length, Math.ceil(span.end - 0.5));
    if (after > first) mask.fill(1, first, after);
  }
  return mask;
}

export { hysteresisSpans, type HysteresisOptions } from './hysteresis.ts';
