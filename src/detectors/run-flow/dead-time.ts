import type { Interval } from '../../../shared/span.ts';
import { deadTimeCorrection } from '../../series/dispersion.ts';

/**
 * s after each count in which a run sensor is blind: taken as 0.6 ms, believed between none and 1 ms (trade.md a.3, computed;
 * from memory). Counts then answer less than proportionally to flow: 4 % less at 68 a second, 12 % at 214.
 */
const LIKELY = 0.0006;
const LONGEST = 0.001;

/** Seeds per second behind counts per second, with the likely dead time. */
export const seedRate = (counts: number): number => deadTimeCorrection(counts, LIKELY);

/** Ratio of counts → ratio of flow. `rate` = counts per second expected. The interval covers every believable dead time. */
export function flowRatio(counts: Interval, rate: number): Interval {
  const undone = (ratio: number, tau: number): number => (ratio <= 0 ? 0 : deadTimeCorrection(ratio * rate, tau) / deadTimeCorrection(rate, tau));
  const all = [counts.low, counts.high].flatMap((ratio) => [undone(ratio, 0), undone(ratio, LONGEST)]).filter(Number.isFinite);
  const value = undone(counts.value, LIKELY);
  return { value, low: Math.min(value, ...all), high: Math.max(value, ...all) };
}
