import { lineAt, lineFit } from '../series/regression.ts';
import { studentTQuantile } from '../series/distributions.ts';
import { median, medianAbsoluteDeviation } from '../series/robust.ts';

/** Seconds to add to a time as logged: `offset` at the logged time `at`, and `drift` more with each second after it. */
export interface ClockLine {
  readonly at: number;
  readonly offset: number;
  readonly drift: number;
}

export const NO_CHANGE: ClockLine = { at: 0, offset: 0, drift: 0 };

/** Seconds to add at a logged time. */
export const addedAt = (time: number, { at, offset, drift }: ClockLine): number => offset + drift * (time - at);

export const corrected = (time: number, line: ClockLine): number => time + addedAt(time, line);

/** First `inner`, then `outer`, as one line. */
export function composed(inner: ClockLine, outer: ClockLine): ClockLine {
  return {
    at: inner.at,
    offset: inner.offset + outer.offset + outer.drift * (inner.at + inner.offset - outer.at),
    drift: inner.drift + outer.drift + inner.drift * outer.drift,
  };
}

/** What was measured at one logged time: seconds to add there. */
export interface ClockPoint {
  readonly time: number;
  readonly added: number;
}

/** A line through points, with 95 % intervals from their scatter. Drift in s per s. */
export interface FittedClock {
  readonly line: ClockLine;
  /** Half widths. */
  readonly offsetReach: number;
  readonly drift: number;
  readonly driftReach: number;
  /** s; from the first point used to the last. */
  readonly span: number;
  /** s; one point's scatter about the line. */
  readonly scatter: number;
  /** Points that were used, and those left out as strays. */
  readonly used: readonly ClockPoint[];
  readonly strays: number;
}

/** Points further than this many robust standard deviations from the line are strays; s, at least. */
const STRAY = 4;
const STRAY_AT_LEAST = 0.3;
/** A drift is told from so many points over so many seconds on. */
const POINTS_FOR_DRIFT = 5;
const SPAN_FOR_DRIFT = 3600;

/**
 * Straight line, or level where no drift is proved that moves the clock by `tellingDrift` seconds over the points; its offset
 * is that at the logged time `at`. Undefined under 3 points.
 */
export function fitClock(points: readonly ClockPoint[], at: number, tellingDrift: number): FittedClock | undefined {
  if (points.length < 3) return undefined;
  let used = points;
  for (let round = 0; round < 3; round += 1) {
    const fit = robustLine(used, at);
    const away = points.map((point) => point.added - fit.intercept - fit.slope * (point.time - at));
    const most = Math.max(STRAY_AT_LEAST, STRAY * medianAbsoluteDeviation(away));
    used = points.filter((_, i) => Math.abs(away[i] as number) <= most);
  }
  if (used.length < 3) return undefined;
  return fitted(used, points.length - used.length, at, tellingDrift);
}

/** Median of the slopes between points far apart: not moved by a few strays. */
function robustLine(points: readonly ClockPoint[], at: number): { readonly intercept: number; readonly slope: number } {
  const slopes: number[] = [];
  const half = Math.floor(points.length / 2);
  for (let i = 0; i + half < points.length; i += 1) {
    const [a, b] = [points[i] as ClockPoint, points[i + half] as ClockPoint];
    if (b.time > a.time) slopes.push((b.added - a.added) / (b.time - a.time));
  }
  const slope = points.length >= POINTS_FOR_DRIFT && slopes.length > 0 ? median(slopes) : 0;
  return { slope, intercept: median(points.map((point) => point.added - slope * (point.time - at))) };
}

function fitted(used: readonly ClockPoint[], strays: number, at: number, tellingDrift: number): FittedClock {
  const x = used.map((point) => point.time - at);
  const y = used.map((point) => point.added);
  const span = Math.max(...x) - Math.min(...x);
  const fit = lineFit(x, y);
  const reach = studentTQuantile(0.975, Math.max(1, used.length - 2));
  const canDrift = used.length >= POINTS_FOR_DRIFT && span >= SPAN_FOR_DRIFT;
  const driftReach = canDrift ? reach * fit.slopeStandardError : Number.POSITIVE_INFINITY;
  if (canDrift && Math.abs(fit.slope) > driftReach && Math.abs(fit.slope) * span > tellingDrift) {
    const { value, standardError } = lineAt(fit, 0);
    return { line: { at, offset: value, drift: fit.slope }, offsetReach: reach * standardError, drift: fit.slope, driftReach, span, scatter: fit.residualSd, used, strays };
  }
  const mean = y.reduce((sum, added) => sum + added, 0) / y.length;
  const scatter = Math.sqrt(y.reduce((sum, added) => sum + (added - mean) ** 2, 0) / (y.length - 1));
  const offsetReach = (studentTQuantile(0.975, y.length - 1) * scatter) / Math.sqrt(y.length);
  return { line: { at, offset: mean, drift: 0 }, offsetReach, drift: canDrift ? fit.slope : 0, driftReach, span, scatter, used, strays };
}
