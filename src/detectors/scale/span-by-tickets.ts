import { chiSquareQuantile } from '../../series/distributions.ts';
import { expanded } from '../../series/uncertainty.ts';
import { york } from '../../series/regression.ts';
import type { TiltOfLoads } from './level.ts';
import type { TicketedFill } from './tickets.ts';

/** What the scale shows for a kilogram that really went in. */
export interface ScaleSpan {
  /** Indicated ÷ true mass change, with its standard uncertainty and 95 % interval. */
  readonly ratio: number;
  readonly uncertainty: number;
  readonly low: number;
  readonly high: number;
  /** Mean square weighted deviation about the line: about 1 when the stated uncertainties are honest; NaN with one fill. */
  readonly mswd: number;
  /** Ticketed fills behind it, and their kg by ticket. */
  readonly fills: number;
  readonly ticketMass: number;
}

/**
 * York's line through the scale's gains against the tickets, both uncertain (increments, never totals). No load gives no gain,
 * so the line passes through the origin: that point is given to the fit as known to a milligram. `tilt` is what standing off level
 * adds, `level` the relative standard uncertainty of standing about level. Where fills scatter more than their uncertainties
 * allow, those grow by √MSWD.
 */
export function spanByTickets(fills: readonly TicketedFill[], tilt: TiltOfLoads, level: number): ScaleSpan | undefined {
  if (fills.length === 0) return undefined;
  const exact = 1e-6;
  const line = york(
    [0, ...fills.map(({ ticketMass }) => ticketMass)], [0, ...fills.map(({ scaleMass }) => scaleMass)],
    [exact, ...fills.map(({ ticketUncertainty }) => ticketUncertainty)], [exact, ...fills.map(({ scaleUncertainty, ticketMass }, i) => Math.hypot(scaleUncertainty, (tilt.each[i] ?? 0) * ticketMass))],
  );
  if (!Number.isFinite(line.slope) || !(line.slope > 0)) return undefined;
  /* n ticketed fills leave n − 1 degrees of freedom: the origin takes the intercept. */
  const scattered = line.mswd > scatterLimit(fills.length - 1);
  const own = scattered ? line.slopeStandardErrorScaled : line.slopeStandardError;
  const uncertainty = Math.hypot(own, Math.hypot(tilt.all, level) * line.slope);
  const half = expanded(uncertainty, Number.POSITIVE_INFINITY);
  return {
    ratio: line.slope, uncertainty, low: line.slope - half, high: line.slope + half, mswd: line.mswd,
    fills: fills.length, ticketMass: fills.reduce((sum, { ticketMass }) => sum + ticketMass, 0),
  };
}

/** χ² per degree of freedom that honest uncertainties exceed one time in forty. */
function scatterLimit(degreesOfFreedom: number): number {
  return degreesOfFreedom < 1 ? Number.POSITIVE_INFINITY : chiSquareQuantile(0.975, degreesOfFreedom) / degreesOfFreedom;
}
