import { studentTQuantile } from '../../series/distributions.ts';

/** One observation of a straight-line fit whose residuals wander from row to row. */
export interface FitRow {
  readonly x: readonly number[];
  readonly y: number;
  /** Place in time, in steps; the correlation between neighbours falls with the distance. */
  readonly position: number;
  /** Rows of different groups are not correlated. Rows come sorted by group, then position. */
  readonly group: number;
}

export interface CorrelatedFit {
  readonly coefficient: readonly number[];
  readonly standardError: readonly number[];
  /** Correlation of residuals one step apart. */
  readonly correlation: number;
  /** Standard deviation of the residuals. */
  readonly sigma: number;
  readonly degreesOfFreedom: number;
  /** Logarithm of the likelihood at its highest; compares models with equally many unknowns. */
  readonly logLikelihood: number;
}

const CORRELATIONS: readonly number[] = [0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.87, 0.93];

/**
 * Generalised least squares with first-order autoregressive residuals. The correlation is not known, so the fits at a range of
 * correlations are averaged, each by its restricted likelihood (Patterson & Thompson 1971, from memory) and by how near it lies to
 * what is `expected` (standard deviation 0.2): few rows cannot tell, and must not flatter the error bars.
 * `undefined` when there are no more rows than unknowns or the unknowns cannot be told apart.
 */
export function fitCorrelated(rows: readonly FitRow[], expected: number): CorrelatedFit | undefined {
  const candidates = CORRELATIONS.flatMap((correlation) => {
    const fit = fitWithCorrelation(rows, correlation);
    return fit === undefined ? [] : [{ ...fit, likelihood: fit.likelihood - ((correlation - expected) / 0.2) ** 2 / 2 }];
  });
  if (candidates.length === 0) return undefined;
  const highest = Math.max(...candidates.map(({ likelihood }) => likelihood));
  const weights = candidates.map(({ likelihood }) => Math.exp(likelihood - highest));
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  const average = (pick: (fit: CorrelatedFit) => number): number =>
    candidates.reduce((sum, { fit }, i) => sum + (weights[i] as number) * pick(fit), 0) / total;
  const first = (candidates[0] as (typeof candidates)[number]).fit;
  const coefficient = first.coefficient.map((_, i) => average((fit) => fit.coefficient[i] as number));
  const standardError = coefficient.map((mean, i) =>
    Math.sqrt(average((fit) => (fit.standardError[i] as number) ** 2 + ((fit.coefficient[i] as number) - mean) ** 2)));
  return {
    coefficient, standardError, degreesOfFreedom: first.degreesOfFreedom,
    correlation: average((fit) => fit.correlation), sigma: average((fit) => fit.sigma), logLikelihood: Math.max(...candidates.map(({ fit }) => fit.logLikelihood)),
  };
}

/** Half-width of the 95 % interval of one coefficient. */
export function halfWidth(fit: CorrelatedFit, index: number): number {
  return studentTQuantile(0.975, fit.degreesOfFreedom) * (fit.standardError[index] ?? Number.NaN);
}

/** The fit at one known correlation, and its restricted log-likelihood. */
export function fitWithCorrelation(rows: readonly FitRow[], correlation: number): { readonly likelihood: number; readonly fit: CorrelatedFit } | undefined {
  const unknowns = rows[0]?.x.length ?? 0;
  const degreesOfFreedom = rows.length - unknowns;
  if (unknowns === 0 || degreesOfFreedom < 1) return undefined;
  const normal = Array.from({ length: unknowns }, () => new Float64Array(unknowns));
  const right = new Float64Array(unknowns);
  let squares = 0;
  let logVariance = 0;
  const whitened = new Float64Array(unknowns);
  rows.forEach((row, index) => {
    const before = rows[index - 1];
    const linked = before !== undefined && before.group === row.group;
    const carry = linked && correlation > 0 ? correlation ** Math.max(1, row.position - before.position) : 0;
    const scale = 1 / Math.sqrt(1 - carry * carry);
    const y = (row.y - (linked ? carry * before.y : 0)) * scale;
    logVariance -= 2 * Math.log(scale);
    for (let i = 0; i < unknowns; i++) whitened[i] = ((row.x[i] as number) - (linked ? carry * (before.x[i] as number) : 0)) * scale;
    squares += y * y;
    for (let i = 0; i < unknowns; i++) {
      right[i] = (right[i] as number) + (whitened[i] as number) * y;
      const line = normal[i] as Float64Array;
      for (let j = 0; j <= i; j++) line[j] = (line[j] as number) + (whitened[i] as number) * (whitened[j] as number);
    }
  });
  const factor = cholesky(normal);
  if (factor === undefined) return undefined;
  const coefficient = solveLower(factor, right, true);
  const explained = coefficient.reduce((sum, value, i) => sum + value * (right[i] as number), 0);
  const variance = Math.max(squares - explained, 1e-12 * squares) / degreesOfFreedom;
  const standardError = coefficient.map((_, i) => Math.sqrt(variance * inverseDiagonal(factor, i)));
  const logDeterminant = factor.reduce((sum, line, i) => sum + 2 * Math.log(line[i] as number), 0);
  const likelihood = -0.5 * (degreesOfFreedom * Math.log(variance) + logVariance + logDeterminant);
  const logLikelihood = -0.5 * (rows.length * Math.log((variance * degreesOfFreedom) / rows.length) + logVariance);
  return { likelihood, fit: { coefficient, standardError, correlation, sigma: Math.sqrt(variance), degreesOfFreedom, logLikelihood } };
}

/** Lower triangle L with L·Lᵀ = matrix (lower half given); `undefined` when it is not safely positive definite. */
function cholesky(matrix: readonly Float64Array[]): readonly Float64Array[] | undefined {
  const factor = matrix.map((line) => new Float64Array(line.length));
  for (let i = 0; i < matrix.length; i++) {
    const line = factor[i] as Float64Array;
    for (let j = 0; j <= i; j++) {
      const other = factor[j] as Float64Array;
      let sum = (matrix[i] as Float64Array)[j] as number;
      for (let k = 0; k < j; k++) sum -= (line[k] as number) * (other[k] as number);
      if (i !== j) line[j] = sum / (other[j] as number);
      else if (sum > 1e-10 * ((matrix[i] as Float64Array)[i] as number)) line[i] = Math.sqrt(sum);
      else return undefined;
    }
  }
  return factor;
}

/** Solves L·Lᵀ·x = right, or only L·x = right. */
function solveLower(factor: readonly Float64Array[], right: ArrayLike<number>, both: boolean): number[] {
  const n = factor.length;
  const x = Array.from(right);
  for (let i = 0; i < n; i++) {
    let sum = x[i] as number;
    for (let k = 0; k < i; k++) sum -= ((factor[i] as Float64Array)[k] as number) * (x[k] as number);
    x[i] = sum / ((factor[i] as Float64Array)[i] as number);
  }
  if (!both) return x;
  for (let i = n - 1; i >= 0; i--) {
    let sum = x[i] as number;
    for (let k = i + 1; k < n; k++) sum -= ((factor[k] as Float64Array)[i] as number) * (x[k] as number);
    x[i] = sum / ((factor[i] as Float64Array)[i] as number);
  }
  return x;
}

function inverseDiagonal(factor: readonly Float64Array[], index: number): number {
  const unit = new Float64Array(factor.length);
  unit[index] = 1;
  return solveLower(factor, unit, false).reduce((sum, value) => sum + value * value, 0);
}
