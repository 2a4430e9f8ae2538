import { pairMomentsOf } from './moments.ts';

/* Straight lines when both coordinates carry error. x and y are equally long and finite throughout this file. */

export interface YorkFit {
  readonly intercept: number;
  readonly slope: number;
  /** From the stated uncertainties alone. */
  readonly interceptStandardError: number;
  readonly slopeStandardError: number;
  /** χ²/(n - 2): about 1 when the stated uncertainties are honest. NaN with two points. */
  readonly mswd: number;
  /** The standard errors times √mswd: what the scatter says. */
  readonly interceptStandardErrorScaled: number;
  readonly slopeStandardErrorScaled: number;
}

/**
 * York's best straight line (York et al. 2004) with standard uncertainties `ux`, `uy` (> 0) for each point, errors of
 * x and y independent. The standard errors are taken at the adjusted points; papers that take the observed ones
 * print slightly smaller values. NaN when the points do not settle a line.
 */
export function york(
  x: ArrayLike<number>,
  y: ArrayLike<number>,
  ux: ArrayLike<number>,
  uy: ArrayLike<number>,
): YorkFit {
  const n = x.length;
  const moments = pairMomentsOf(x, y);
  let slope = moments.sxy / moments.sxx;
  const at = (b: number) => {
    let weights = 0;
    let sumX = 0;
    let sumY = 0;
    const weight = new Float64Array(n);
    for (let i = 0; i < n; i++) {
      const w = 1 / ((uy[i] as number) ** 2 + (b * (ux[i] as number)) ** 2);
      weight[i] = w;
      weights += w;
      sumX += w * (x[i] as number);
      sumY += w * (y[i] as number);
    }
    const meanX = sumX / weights;
    const meanY = sumY / weights;
    const shift = new Float64Array(n);
    let upper = 0;
    let lower = 0;
    for (let i = 0; i < n; i++) {
      const w = weight[i] as number;
      const u = (x[i] as number) - meanX;
      const v = (y[i] as number) - meanY;
      const beta = w * (u * (uy[i] as number) ** 2 + b * v * (ux[i] as number) ** 2);
      shift[i] = beta;
      upper += w * beta * v;
      lower += w * beta * u;
    }
    return { weight, weights, meanX, meanY, shift, slope: upper / lower };
  };
  let state = at(slope);
  for (let round = 0; round < 500; round++) {
    const settled = Math.abs(state.slope - slope) <= 1e-15 * Math.abs(slope);
    slope = state.slope;
    if (settled) break;
    state = at(slope);
  }
  const { weight, weights, meanX, meanY, shift } = state;
  const intercept = meanY - slope * meanX;
  let adjustedX = 0;
  let chiSquare = 0;
  for (let i = 0; i < n; i++) {
    adjustedX += (weight[i] as number) * (meanX + (shift[i] as number));
    chiSquare += (weight[i] as number) * ((y[i] as number) - intercept - slope * (x[i] as number)) ** 2;
  }
  adjustedX /= weights;
  let spread = 0;
  for (let i = 0; i < n; i++) spread += (weight[i] as number) * (meanX + (shift[i] as number) - adjustedX) ** 2;
  const slopeStandardError = Math.sqrt(1 / spread);
  const interceptStandardError = Math.sqrt(1 / weights + (adjustedX * slopeStandardError) ** 2);
  const mswd = n > 2 ? chiSquare / (n - 2) : Number.NaN;
  return {
    intercept,
    slope,
    interceptStandardError,
    slopeStandardError,
    mswd,
    interceptStandardErrorScaled: interceptStandardError * Math.sqrt(mswd),
    slopeStandardErrorScaled: slopeStandardError * Math.sqrt(mswd),
  };
}

export interface DemingFit {
  readonly intercept: number;
  readonly slope: number;
  /** By the jack-knife over points. */
  readonly interceptStandardError: number;
  readonly slopeStandardError: number;
}

function demingLine(x: ArrayLike<number>, y: ArrayLike<number>, ratio: number) {
  const { meanX, meanY, sxx, sxy, syy } = pairMomentsOf(x, y);
  const excess = syy - ratio * sxx;
  const root = Math.hypot(excess, 2 * Math.sqrt(ratio) * sxy);
  // Two forms of one root; each is used where it does not subtract nearly equal numbers.
  const slope = excess >= 0 ? (excess + root) / (2 * sxy) : (2 * ratio * sxy) / (root - excess);
  return { intercept: meanY - slope * meanX, slope };
}

function without(values: ArrayLike<number>, at: number): number[] {
  return Array.from(values).filter((_, i) => i !== at);
}

/**
 * Deming's line for one known ratio of error variances, `varianceRatio` = σ_y²/σ_x² (some tables print the inverse);
 * 1 is orthogonal regression. Standard errors by jack-knife, NaN below four points.
 */
export function deming(x: ArrayLike<number>, y: ArrayLike<number>, varianceRatio: number): DemingFit {
  const n = x.length;
  const whole = demingLine(x, y, varianceRatio);
  const errorOf = (leftOut: readonly number[]): number => {
    if (n < 4) return Number.NaN;
    const mean = leftOut.reduce((sum, value) => sum + value, 0) / n;
    return Math.sqrt((leftOut.reduce((sum, value) => sum + (value - mean) ** 2, 0) * (n - 1)) / n);
  };
  const lines = Array.from({ length: n < 4 ? 0 : n }, (_, i) => demingLine(without(x, i), without(y, i), varianceRatio));
  return {
    ...whole,
    interceptStandardError: errorOf(lines.map((line) => line.intercept)),
    slopeStandardError: errorOf(lines.map((line) => line.slope)),
  };
}
