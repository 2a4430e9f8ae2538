export const totalOf = (values: readonly number[]): number => values.reduce((total, value) => total + value, 0);

/** The mean; an empty series gives NaN, and so does any NaN in it. */
export function meanOf(values: ArrayLike<number>): number {
  let sum = 0;
  for (let i = 0; i < values.length; i++) sum += values[i] as number;
  const rough = sum / values.length;
  // A second pass over the remainders wins back the digits a large offset costs (StRD NumAcc4).
  let rest = 0;
  for (let i = 0; i < values.length; i++) rest += (values[i] as number) - rough;
  return rough + rest / values.length;
}

/** What a two-sample test needs to know of a sample. */
export interface Moments {
  /** Number of independent values; an effective, fractional number is welcome. */
  readonly count: number;
  readonly mean: number;
  /** With divisor n - 1. */
  readonly sd: number;
}

/** Count, mean and standard deviation (divisor n - 1, NaN below two values). */
export function momentsOf(values: ArrayLike<number>): Moments {
  const mean = meanOf(values);
  let squares = 0;
  for (let i = 0; i < values.length; i++) squares += ((values[i] as number) - mean) ** 2;
  const count = values.length;
  return { count, mean, sd: count > 1 ? Math.sqrt(squares / (count - 1)) : Number.NaN };
}

export interface PairMoments {
  readonly meanX: number;
  readonly meanY: number;
  readonly sxx: number;
  readonly sxy: number;
  readonly syy: number;
}

/** Means of x and y, and the sums of squares and products about them. */
export function pairMomentsOf(x: ArrayLike<number>, y: ArrayLike<number>): PairMoments {
  const meanX = meanOf(x);
  const meanY = meanOf(y);
  let sxx = 0;
  let sxy = 0;
  let syy = 0;
  for (let i = 0; i < x.length; i++) {
    const dx = (x[i] as number) - meanX;
    const dy = (y[i] as number) - meanY;
    sxx += dx * dx;
    sxy += dx * dy;
    syy += dy * dy;
  }
  return { meanX, meanY, sxx, sxy, syy };
}
