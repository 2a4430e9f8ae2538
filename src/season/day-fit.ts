import { studentTQuantile, studentTTail } from '../series/distributions.ts';

/** A value per day with its standard uncertainty; all finite, uncertainties above 0, same length. */
export interface DailyValues {
  readonly value: ArrayLike<number>;
  readonly uncertainty: ArrayLike<number>;
}

/** A linear model of daily values. */
export interface DayFit {
  readonly coefficients: Float64Array;
  /** Covariance of the coefficients, row by row. */
  readonly covariance: Float64Array;
  /** Variance from day to day beyond what the days' own intervals explain (Paule and Mandel); 0 when they explain all. */
  readonly betweenDays: number;
  /** Weighted residual squares per degree of freedom: 1 when there is spread between days, below 1 when the days' intervals are wider than needed. */
  readonly scale: number;
  readonly degreesOfFreedom: number;
  /** Weighted residual squares. */
  readonly squares: number;
  /** Residuals in standard units of their day. */
  readonly residuals: Float64Array;
}

/**
 * Random-effects regression: days are weighted by 1/(their variance + the variance between days), the latter being what makes
 * the weighted residual squares equal their degrees of freedom (Paule and Mandel 1982). Standard errors are scaled by the
 * residuals really seen and go with Student's t (Hartung 1999; Knapp and Hartung 2003): an uncertainty that all days share
 * widens each day's interval but moves no day against another, so the scale may go below 1.
 * `columns` are the model's columns; undefined when they do not settle the coefficients.
 */
export function fitDays(days: DailyValues, columns: readonly ArrayLike<number>[]): DayFit | undefined {
  const n = days.value.length;
  const degreesOfFreedom = n - columns.length;
  if (degreesOfFreedom < 1) return undefined;
  let best = solve(days, columns, 0);
  let betweenDays = 0;
  /* The weighted squares fall convexly with the variance, so Newton's steps from 0 come from one side. */
  for (let step = 0; best !== undefined && step < 50 && best.squares > degreesOfFreedom * (1 + 1e-9); step++) {
    betweenDays += (best.squares - degreesOfFreedom) / best.steepness;
    best = solve(days, columns, betweenDays);
  }
  if (best === undefined) return undefined;
  const scale = best.squares / degreesOfFreedom;
  const { coefficients, residuals, squares } = best;
  return { coefficients, residuals, squares, covariance: best.covariance.map((entry) => entry * scale), betweenDays, scale, degreesOfFreedom };
}

/** Two-sided p of a coefficient being 0, and the half-width of its 95 % interval; both worsened for days that resemble their neighbours. */
export function coefficientOf(fit: DayFit, index: number, inflation = 1): { readonly value: number; readonly low: number; readonly high: number; readonly p: number } {
  const value = fit.coefficients[index] as number;
  const error = Math.sqrt(Math.max(0, fit.covariance[index * fit.coefficients.length + index] as number) * inflation);
  const degrees = Math.max(1, fit.degreesOfFreedom / inflation);
  const half = studentTQuantile(0.975, degrees) * error;
  return { value, low: value - half, high: value + half, p: error > 0 ? 2 * studentTTail(Math.abs(value) / error, degrees) : Number(value === 0) };
}

/** The model at one row of its columns, with its 95 % interval. */
export function fittedAt(fit: DayFit, row: readonly number[], inflation = 1): { readonly value: number; readonly low: number; readonly high: number } {
  const p = fit.coefficients.length;
  let value = 0;
  let variance = 0;
  for (let i = 0; i < p; i++) {
    value += (row[i] as number) * (fit.coefficients[i] as number);
    for (let j = 0; j < p; j++) variance += (row[i] as number) * (row[j] as number) * (fit.covariance[i * p + j] as number);
  }
  const half = studentTQuantile(0.975, Math.max(1, fit.degreesOfFreedom / inflation)) * Math.sqrt(Math.max(0, variance) * inflation);
  return { value, low: value - half, high: value + half };
}

/** Weighted residual squares for a variance between days that is already known; NaN when the columns settle nothing. */
export function residualSquares(days: DailyValues, columns: readonly ArrayLike<number>[], betweenDays: number): number {
  return solve(days, columns, betweenDays)?.squares ?? Number.NaN;
}

interface Solution extends Pick<DayFit, 'coefficients' | 'covariance' | 'squares' | 'residuals'> {
  /** −d(squares)/d(variance between days). */
  readonly steepness: number;
}

/** Weighted least squares by the normal equations: few columns, none of them far from centred. */
function solve({ value, uncertainty }: DailyValues, columns: readonly ArrayLike<number>[], between: number): Solution | undefined {
  const n = value.length;
  const p = columns.length;
  const weight = Float64Array.from({ length: n }, (_, i) => 1 / ((uncertainty[i] as number) ** 2 + between));
  const normal = new Float64Array(p * p);
  const right = new Float64Array(p);
  for (let a = 0; a < p; a++) {
    const columnA = columns[a] as ArrayLike<number>;
    for (let i = 0; i < n; i++) right[a] = (right[a] as number) + (weight[i] as number) * (columnA[i] as number) * (value[i] as number);
    for (let b = a; b < p; b++) {
      const columnB = columns[b] as ArrayLike<number>;
      let sum = 0;
      for (let i = 0; i < n; i++) sum += (weight[i] as number) * (columnA[i] as number) * (columnB[i] as number);
      normal[a * p + b] = sum;
      normal[b * p + a] = sum;
    }
  }
  const covariance = inverse(normal, p);
  if (covariance === undefined) return undefined;
  const coefficients = Float64Array.from({ length: p }, (_, a) => right.reduce((sum, entry, b) => sum + (covariance[a * p + b] as number) * entry, 0));
  let squares = 0;
  let steepness = 0;
  const residuals = Float64Array.from({ length: n }, (_, i) => {
    let fitted = 0;
    for (let a = 0; a < p; a++) fitted += (coefficients[a] as number) * ((columns[a] as ArrayLike<number>)[i] as number);
    const residual = ((value[i] as number) - fitted) * Math.sqrt(weight[i] as number);
    squares += residual * residual;
    steepness += residual * residual * (weight[i] as number);
    return residual;
  });
  return { coefficients, covariance, squares, residuals, steepness };
}

/** Gauss–Jordan with pivoting; undefined when a pivot is nothing beside its diagonal. */
function inverse(matrix: Float64Array, p: number): Float64Array | undefined {
  const a = Array.from({ length: p }, (_, i) => Array.from({ length: 2 * p }, (_unused, j) => (j < p ? matrix[i * p + j] as number : Number(j - p === i))));
  for (let column = 0; column < p; column++) {
    let pivot = column;
    for (let row = column + 1; row < p; row++) if (Math.abs(at(a, row, column)) > Math.abs(at(a, pivot, column))) pivot = row;
    if (!(Math.abs(at(a, pivot, column)) > 1e-10 * (matrix[column * p + column] as number))) return undefined;
    [a[column], a[pivot]] = [a[pivot] as number[], a[column] as number[]];
    const head = a[column] as number[];
    const divisor = head[column] as number;
    for (let j = 0; j < 2 * p; j++) head[j] = (head[j] as number) / divisor;
    a.forEach((row, i) => {
      const factor = row[column] as number;
      if (i !== column && factor !== 0) for (let j = 0; j < 2 * p; j++) row[j] = (row[j] as number) - factor * (head[j] as number);
    });
  }
  return Float64Array.from({ length: p * p }, (_, k) => at(a, Math.floor(k / p), p + (k % p)));
}

const at = (rows: readonly (readonly number[])[], i: number, j: number): number => (rows[i] as readonly number[])[j] as number;
