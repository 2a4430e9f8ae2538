import type { Span } from '../../../shared/span.ts';

/** s before and after the drill's flow collapses in which a tank may sputter run by run. */
const SPUTTER = 60;

/** Whether the drill collapsed in a span or within that of either end of it. */
export function isNearCollapse(collapsed: Uint8Array, { start, end }: Span, step: number): boolean {
  return collapsed.subarray(Math.max(0, Math.floor(start / step - SPUTTER / step)), Math.min(collapsed.length, Math.ceil(end / step + SPUTTER / step))).includes(1);
}

/** Seconds of a span that lie farther than that from any collapse of the whole drill: only they speak of one tower or run. */
export function calmSeconds(collapsed: Uint8Array, { start, end }: Span, step: number): number {
  const reach = Math.ceil(SPUTTER / step);
  const last = Math.min(collapsed.length, Math.ceil(end / step));
  let k = Math.max(0, Math.floor(start / step));
  let latest = collapsed.lastIndexOf(1, k);
  if (latest < 0) latest = -Infinity;
  let next = collapsed.indexOf(1, k + 1);
  let calm = 0;
  for (; k < last; k++) {
    if (k === next) {
      latest = k;
      next = collapsed.indexOf(1, k + 1);
    }
    if (k - latest > reach && (next < 0 || next - k > reach)) calm++;
  }
  return calm * step;
}
