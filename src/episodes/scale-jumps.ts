import { contains } from '../series/spans.ts';
import type { Span } from '../../shared/span.ts';
import type { TankScale } from './tank-scale.ts';

/** A step of a standing tank's reading within 5 s, level on both sides: somebody zeroed the scale, stepped on the frame, or a cell was lost. */
export interface ScaleJump {
  /** s, middle of the step. */
  readonly time: number;
  /** kg, after minus before. */
  readonly step: number;
}

/** Smallest jump, kg, and in wanders of the scale: a person weighs more. Common practice, no source. */
const LEAST = 30;
const LEAST_WANDERS = 3;
/** s from the middle to the near and far end of the levels that are compared. */
const NEAR = 3;
const MIDDLE = 6;
const FAR = 10;
/** Share of the jump by which either side may slope: filling ramps do. */
const MOST_SLOPE = 0.15;

export function scaleJumps({ calm, wander }: TankScale, parked: readonly Span[]): readonly ScaleJump[] {
  const least = Math.max(LEAST, LEAST_WANDERS * wander);
  const jumps: ScaleJump[] = [];
  for (let k = FAR; k < calm.length - FAR; k++) {
    const step = (calm[k + NEAR] as number) - (calm[k - NEAR] as number);
    if (!(Math.abs(step) >= least) || !contains(parked, k - FAR) || !contains(parked, k + FAR)) continue;
    const before = Math.abs((calm[k - NEAR] as number) - (calm[k - FAR] as number));
    const after = Math.abs((calm[k + FAR] as number) - (calm[k + NEAR] as number));
    const early = Math.abs((calm[k - MIDDLE] as number) - (calm[k - FAR] as number));
    const late = Math.abs((calm[k + FAR] as number) - (calm[k + MIDDLE] as number));
    if (!(Math.max(before, after, early, late) <= Math.max(MOST_SLOPE * Math.abs(step), wander))) continue;
    const last = jumps.at(-1);
    const jump = { time: middleOf(calm, k, step), step };
    if (last === undefined || jump.time - last.time > FAR) jumps.push(jump);
    else if (Math.abs(step) > Math.abs(last.step)) jumps[jumps.length - 1] = jump;
  }
  return jumps;
}

/** Where the reading passes half of the step. */
function middleOf(calm: Float64Array, k: number, step: number): number {
  const half = (calm[k - NEAR] as number) + step / 2;
  for (let j = k - NEAR + 1; j <= k + NEAR; j++) if (((calm[j] as number) - half) * Math.sign(step) >= 0) return j;
  return k;
}
