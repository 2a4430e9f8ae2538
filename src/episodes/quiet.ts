import type { Span } from '../../shared/span.ts';
import { subtractSpans } from '../series/spans.ts';
import type { Fill, QuietReading } from './episodes.ts';
import type { ScaleJump } from './scale-jumps.ts';
import { levelOf, WANDER_TIME, type TankScale } from './tank-scale.ts';

/** s; a standing tank is read from this long after the stop, when the frame has settled, and for at least so long. */
const SETTLING = 5;
const SHORTEST = 20;
/** s kept away from a fill, and from a jump of the reading. */
const BESIDE_FILL = 5;
const BESIDE_JUMP = 4;
/** kg; twice the usual spread of a standing scale (2–5 kg, trade.md a.3). A reading that moves more is not quiet. */
const MOST_SPREAD = 10;

interface TankDay {
  readonly scale: TankScale;
  readonly parked: readonly Span[];
  readonly metering: readonly Span[];
  readonly fills: readonly Fill[];
  readonly jumps: readonly ScaleJump[];
}

/** Standing, settled, nothing loaded or metered, the reading still: one reading per undisturbed stretch. */
export function quietReadings({ scale, parked, metering, fills, jumps }: TankDay): readonly QuietReading[] {
  const disturbed = [
    ...metering,
    ...fills.map(({ start, end }) => ({ start: start - BESIDE_FILL, end: end + BESIDE_FILL })),
    ...jumps.map(({ time }) => ({ start: time - BESIDE_JUMP, end: time + BESIDE_JUMP })),
  ].toSorted((a, b) => a.start - b.start);
  const settled = parked.map(({ start, end }) => ({ start: start + SETTLING, end })).filter(({ start, end }) => end > start);
  return subtractSpans(settled, disturbed).flatMap(({ start, end }) => {
    const level = levelOf(scale, start, end);
    if (level.seconds < SHORTEST - SETTLING || level.spread > Math.max(MOST_SPREAD, scale.wander)) return [];
    const share = Math.min(1, (2 * WANDER_TIME) / (end - start));
    return [{ start, end, mass: level.mass, uncertainty: Math.hypot(level.uncertainty, scale.wander * Math.sqrt(share), scale.sway * level.mass) }];
  });
}
