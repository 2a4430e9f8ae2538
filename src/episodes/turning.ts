import type { Span } from '../../shared/span.ts';
import { joinSpans, spansWhere } from '../series/spans.ts';
import type { Motion } from './motion.ts';

const DEGREE = Math.PI / 180;
/**
 * rad/s: at 8 km/h a circle of 42 m, tighter than any contour pass and wider than any headland turn; a turn is left
 * below half of it. Common practice, no source.
 */
const ENTER = 3 * DEGREE;
const LEAVE = 1.5 * DEGREE;
/** A turn in pieces, with a stop or a straight bit shorter than this, is one turn, s. */
const PAUSE = 15;
/** Less in all is a swerve round an obstacle, rad. */
const LEAST = 30 * DEGREE;

/** Turns at the headland: high yaw rate, at least 30° in all. */
export function turningSpans({ yawRate, course }: Motion): readonly Span[] {
  const turning = new Uint8Array(yawRate.length);
  let inside = false;
  for (let k = 0; k < yawRate.length; k++) {
    inside = Math.abs(yawRate[k] as number) > (inside ? LEAVE : ENTER);
    turning[k] = inside ? 1 : 0;
  }
  return joinSpans(spansWhere(turning), PAUSE).filter((span) => turned(course, span) >= LEAST);
}

/** Between the outermost courses in a span, rad: noise to and fro does not add up. */
function turned(course: Float64Array, { start, end }: Span): number {
  let least = Infinity;
  let most = -Infinity;
  for (let k = Math.max(0, start - 1); k <= Math.min(course.length - 1, end); k++) {
    const angle = course[k] as number;
    if (angle < least) least = angle;
    if (angle > most) most = angle;
  }
  return most - least;
}
