import { offsetAt } from '../../../../shared/clock.ts';
import { formatClock, formatNumber, type Reading } from '../../../../shared/text.ts';

/** Where ticks stand along an axis, and what they say. */
export interface Ticks {
  readonly at: readonly number[];
  readonly label: (value: number) => string;
}

/** Round numbers between two, about `most` of them; steps of 1, 2 or 5 times a power of ten. */
export function numberTicks(from: number, to: number, most: number): Ticks {
  const raw = (to - from) / Math.max(1, most);
  if (!(raw > 0) || !Number.isFinite(raw)) return { at: [from], label: (value) => formatNumber(value, 2) };
  const power = 10 ** Math.floor(Math.log10(raw));
  const step = ([1, 2, 5, 10].find((each) => each * power >= raw * 0.999) ?? 10) * power;
  const at: number[] = [];
  for (let k = Math.ceil(from / step - 1e-9); k * step <= to + step * 1e-9; k++) at.push(k * step);
  const decimals = Math.max(0, -Math.floor(Math.log10(step) + 1e-9));
  return { at, label: (value) => formatNumber(value, decimals) };
}

const STEPS = [1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 10_800, 21_600, 43_200] as const;

/** Round clock times in the reader's zone; seconds only where they matter. */
export function clockTicks(from: number, to: number, most: number, reading: Reading): Ticks {
  const step = STEPS.find((each) => (to - from) / each <= most) ?? 86_400;
  const local = reading.dayStart + offsetAt(reading.dayStart, reading.zone);
  const at: number[] = [];
  for (let k = Math.ceil((local + from) / step); k * step - local <= to; k++) at.push(k * step - local);
  return { at, label: (time) => (step >= 60 ? formatClock(time + 1e-6, reading).slice(0, 5) : formatClock(time + 1e-6, reading)) };
}

/** Least and greatest of what is drawn, with a little room; something to draw on also when all are one or there is none. */
export function extent(values: Iterable<number>, room = 0.06): { readonly from: number; readonly to: number } {
  let [least, most] = [Infinity, -Infinity];
  for (const value of values) {
    if (!Number.isFinite(value)) continue;
    if (value < least) least = value;
    if (value > most) most = value;
  }
  if (least > most) return { from: 0, to: 1 };
  const spare = (most - least) * room || Math.abs(most) * 0.1 || 1;
  return { from: least >= 0 && least < spare ? 0 : least - spare, to: most + spare };
}
