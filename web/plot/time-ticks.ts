import type { Range } from './range.ts';

const STEPS = [0.1, 0.2, 0.5, 1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 10_800, 21_600, 43_200] as const;

/** Round clock times in a range, at most `most` of them. `localOffset` = seconds since local midnight at second 0 of the day. */
export function timeTicks({ from, to }: Range, most: number, localOffset: number): { readonly step: number; readonly times: readonly number[] } {
  const step = STEPS.find((each) => (to - from) / each <= most) ?? 86_400;
  const times: number[] = [];
  for (let k = Math.ceil((from + localOffset) / step); k * step - localOffset <= to; k++) times.push(k * step - localOffset);
  return { step, times };
}
