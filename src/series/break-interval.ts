import { normalTail } from './distributions.ts';

/** z·(1 - Φ(z))/φ(z), which rises from 0 to 1. */
function scaledMills(z: number): number {
  if (z > 30) return 1 - 1 / (z * z);
  return (z * normalTail(z) * Math.sqrt(2 * Math.PI)) / Math.exp((-z * z) / 2);
}

/**
 * How far the true place of a mean shift may lie on one side of the estimated one, in samples, exceeded with
 * probability `tail` (Bai 1997, shifts small enough for many samples to share the blame; from memory).
 * The estimate is off by the arg max of two Brownian motions with drift, one per side, with the variances of the two
 * segments. In u = |shift|·√samples/(2·sd of this side) its density is 4·(φ(u)·M(κu) - u·(1 - Φ(u))), M as above and
 * κ = 1 + 2·(variance here)/(variance there). Equal variances give the known 11.03·variance/shift² at 2.5 %.
 */
export function breakReach(shift: number, varianceHere: number, varianceThere: number, tail = 0.025): number {
  if (varianceHere === 0) return 0;
  const kappa = 1 + (2 * varianceHere) / varianceThere;
  const density = (u: number): number => {
    const phi = Math.exp((-u * u) / 2) / Math.sqrt(2 * Math.PI);
    return 4 * (phi * scaledMills(kappa * u) - u * normalTail(u));
  };
  // Simpson's rule inwards from where nothing is left, linear within the last step.
  const step = 0.05;
  let beyond = 0;
  let u = 6;
  let outer = density(u);
  while (u > step) {
    const inner = density(u - step);
    const share = (step / 6) * (inner + 4 * density(u - step / 2) + outer);
    if (beyond + share >= tail) {
      u -= (step * (tail - beyond)) / share;
      break;
    }
    beyond += share;
    outer = inner;
    u -= step;
  }
  return (u * u * 4 * varianceHere) / (shift * shift);
}
