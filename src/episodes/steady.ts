import type { Span } from '../../shared/span.ts';
import { spansWhere } from '../series/spans.ts';
import type { Motion } from './motion.ts';
import type { Timeline } from './timeline.ts';

/** m/s and m/s² (checks.md 8.3 D1). */
const SLOWEST = 1;
const MOST_ACCELERATION = 0.1;
/** rad/m: 0.8 deg/s at 8 km/h (trade.md g.3), a circle of 159 m. */
const MOST_CURVATURE = (0.8 * Math.PI) / 180 / (8 / 3.6);
/** m a wheel may run beside the antenna, half of a 3 m track, and the share of distance its turning may add (checks.md C-09). */
const WHEEL_ASIDE = 1.5;
const MOST_TURNING = 0.002;
const WORST_HDOP = 4;
const SHORTEST = 10;

/** Straight, at constant speed, with good GNSS: where speeds may be compared. Lifted or not, so that road legs count too. */
export function steadySpans(timeline: Timeline, motion: Motion): readonly Span[] {
  const { gnss, yawRate } = motion;
  if (gnss === undefined) return [];
  const fix = timeline.held('gnss.fix');
  const hdop = timeline.mean('gnss.hdop');
  const smooth = smoothed(gnss, 2);
  const steady = smooth.map((v, k) => {
    const acceleration = ((smooth[k + 2] ?? Number.NaN) - (smooth[k - 2] ?? Number.NaN)) / 4;
    const yaw = yawRate[k] as number;
    const curvature = Number.isNaN(yaw) ? 0 : Math.abs(yaw) / v;
    const good = v > SLOWEST && Math.abs(acceleration) < MOST_ACCELERATION && curvature < MOST_CURVATURE
      && (fix === undefined || !((fix[k] as number) < 1)) && (hdop === undefined || !((hdop[k] as number) >= WORST_HDOP));
    return good ? 1 : 0;
  });
  return spansWhere(steady).flatMap((span) => straightParts(motion, smooth, span));
}

/**
 * A curve makes a wheel beside the antenna run further by its offset times the angle turned; wavering cancels, a bend
 * does not. A stretch that turns too much in all is halved until its straight parts are left.
 */
function straightParts(motion: Motion, speed: Float64Array, span: Span): Span[] {
  if (span.end - span.start < SHORTEST) return [];
  let distance = 0;
  for (let k = span.start; k < span.end; k++) distance += speed[k] as number;
  const angle = turnedIn(motion.course, span);
  if (WHEEL_ASIDE * angle <= MOST_TURNING * distance) return [span];
  const middle = Math.floor((span.start + span.end) / 2);
  if (span.end - span.start < 6 * SHORTEST) return [];
  return [...straightParts(motion, speed, { start: span.start, end: middle }), ...straightParts(motion, speed, { start: middle, end: span.end })];
}

/** Net angle between the first and the last fifth of a stretch (at most 10 s each), rad. */
function turnedIn(course: Float64Array, { start, end }: Span): number {
  const some = Math.min(10, Math.ceil((end - start) / 5));
  const angle = meanOf(course, end - some, end) - meanOf(course, start, start + some);
  return Number.isNaN(angle) ? 0 : Math.abs(angle);
}

function meanOf(values: Float64Array, from: number, to: number): number {
  let sum = 0;
  let known = 0;
  for (let k = from; k < to; k++) {
    const x = values[k] as number;
    if (Number.isNaN(x)) continue;
    sum += x;
    known++;
  }
  return sum / known;
}

/** Moving mean over `reach` either side; NaN where the middle is unknown. */
export function smoothed(values: Float64Array, reach: number): Float64Array {
  return values.map((x, k) => (Number.isNaN(x) ? x : meanOf(values, Math.max(0, k - reach), Math.min(values.length, k + reach + 1))));
}
