import type { ClockPoint } from './clock-line.ts';

/** A stretch of a log without records: where its clock may have been set unseen. Logged seconds. */
export interface LogGap {
  readonly start: number;
  readonly end: number;
}

/** s; smaller steps are not told from scatter. */
const SMALLEST_STEP = 0.7;
/** A step must be so many of its own standard errors. */
const TELLING = 6;
const POINTS_A_SIDE = 3;

/** The gaps over which the clock stepped, as seen from points before and after, in order. */
export function stepsAtGaps(points: readonly ClockPoint[], gaps: readonly LogGap[]): readonly LogGap[] {
  let best: { readonly gap: LogGap; readonly strength: number } | undefined;
  for (const gap of gaps) {
    const strength = stepAt(points, gap);
    if (strength > (best?.strength ?? TELLING)) best = { gap, strength };
  }
  if (best === undefined) return [];
  const { gap } = best;
  return [
    ...stepsAtGaps(points.filter(({ time }) => time < gap.end), gaps.filter(({ end }) => end <= gap.start)),
    gap,
    ...stepsAtGaps(points.filter(({ time }) => time >= gap.end), gaps.filter(({ start }) => start >= gap.end)),
  ];
}

/** Size of the step in standard errors, both sides drifting alike; 0 when there is none to speak of. */
function stepAt(points: readonly ClockPoint[], gap: LogGap): number {
  /* The nearest point of each side may have been measured over part of the other. */
  const left = points.filter(({ time }) => time <= gap.start).toSorted((a, b) => a.time - b.time);
  const right = points.filter(({ time }) => time >= gap.end).toSorted((a, b) => a.time - b.time);
  if (left.length < POINTS_A_SIDE || right.length < POINTS_A_SIDE) return 0;
  const before = centred(left.length > POINTS_A_SIDE ? left.slice(0, -1) : left);
  const after = centred(right.length > POINTS_A_SIDE ? right.slice(1) : right);
  const sxx = before.sxx + after.sxx;
  const slope = (before.sxy + after.sxy) / sxx;
  const apart = after.time - before.time;
  const step = after.added - before.added - slope * apart;
  if (!(Math.abs(step) >= SMALLEST_STEP)) return 0;
  const residual = Math.max(0, before.syy + after.syy - slope * (before.sxy + after.sxy));
  const variance = residual / Math.max(1, before.n + after.n - 3);
  const standardError = Math.sqrt(variance * (1 / before.n + 1 / after.n + (apart * apart) / sxx));
  return Math.abs(step) / Math.max(standardError, 1e-6);
}

function centred(points: readonly ClockPoint[]): { readonly n: number; readonly time: number; readonly added: number; readonly sxx: number; readonly sxy: number; readonly syy: number } {
  const n = points.length;
  const time = points.reduce((sum, point) => sum + point.time, 0) / n;
  const added = points.reduce((sum, point) => sum + point.added, 0) / n;
  let sxx = 0;
  let sxy = 0;
  let syy = 0;
  for (const point of points) {
    sxx += (point.time - time) ** 2;
    sxy += (point.time - time) * (point.added - added);
    syy += (point.added - added) ** 2;
  }
  return { n, time, added, sxx, sxy, syy };
}
