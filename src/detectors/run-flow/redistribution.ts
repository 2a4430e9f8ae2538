import type { Interval } from '../../../shared/span.ts';
import { lagOneAutocorrelation } from '../../series/autocorrelation.ts';
import { studentTQuantile } from '../../series/distributions.ts';

/**
 * Conservation: a run that truly loses the share q of its flow lifts each of its n − 1 mates by q ÷ (n − 1); a sensor that only
 * says so lifts nobody (trade.md e.5).
 */
export type Redistribution = 'flow' | 'sensor' | 'cannot-tell';

export interface RedistributionTest {
  readonly verdict: Redistribution;
  /** Rise of the mates ÷ the rise that flow conservation asks for: 1 = real loss, 0 = sensor. */
  readonly share: Interval;
  /** The mates' rise itself while the fault lasted, ratio, and what conservation asks for. */
  readonly rise: Interval;
  readonly due: number;
}

/** Counts answer less than proportionally near saturation (dead time), so a real loss shows at least about this share. */
const LEAST_REAL = 0.55;
const MOST_SENSOR = 0.45;

/** Values of one window: ln(mates ÷ other towers), and ln rise of the mates by conservation for the run in question and for others at fault. */
export interface FlowWindow {
  readonly time: number;
  readonly mates: number;
  readonly due: number;
  readonly otherDue: number;
}

/**
 * Regression of the mates' flow on the rise that is due, with a slow drift between towers allowed for and a level of its own
 * for each group of windows.
 * The interval is widened for autocorrelation of the residuals (checks.md 8.1).
 */
export function redistributionTest(windows: readonly FlowWindow[], groupOf: (time: number) => number = () => 0): RedistributionTest {
  const none: RedistributionTest = { verdict: 'cannot-tell', share: { value: 0, low: Number.NEGATIVE_INFINITY, high: Number.POSITIVE_INFINITY }, rise: { value: 0, low: Number.NEGATIVE_INFINITY, high: Number.POSITIVE_INFINITY }, due: 0 };
  const during = windows.filter(({ due }) => due > 0);
  const before = windows.length - during.length;
  if (during.length < 2 || before < 2) return none;
  const middle = windows.reduce((sum, { time }) => sum + time, 0) / windows.length;
  const hours = windows.map(({ time }) => (time - middle) / 3600);
  const others = windows.map(({ otherDue }) => otherDue);
  const groups = [...new Set(windows.map(({ time }) => groupOf(time)))];
  const columns = [
    windows.map(({ due }) => due),
    ...groups.map((group) => windows.map(({ time }) => (groupOf(time) === group ? 1 : 0))),
    ...(windows.length > 8 ? [hours] : []),
    ...(others.some((due) => due > 0) ? [others] : []),
  ];
  const fit = leastSquares(columns, windows.map(({ mates }) => mates));
  if (fit === undefined) return none;
  const r = Math.min(0.9, Math.max(0, lagOneAutocorrelation(fit.residuals) || 0));
  const free = Math.max(1, ((windows.length - columns.length) * (1 - r)) / (1 + r));
  const reach = studentTQuantile(0.975, free) * (fit.errors[0] as number) * Math.sqrt((1 + r) / (1 - r));
  const value = fit.coefficients[0] as number;
  const share = { value, low: value - reach, high: value + reach };
  const mean = during.reduce((sum, { due }) => sum + due, 0) / during.length;
  const rise = { value: Math.expm1(value * mean), low: Math.expm1(share.low * mean), high: Math.expm1(share.high * mean) };
  return { verdict: verdictOf(share), share, rise, due: Math.expm1(mean) };
}

function verdictOf({ value, low, high }: Interval): Redistribution {
  if (low > 0 && high >= LEAST_REAL && value > MOST_SENSOR) return low > 0.15 ? 'flow' : 'cannot-tell';
  if (high < LEAST_REAL && value < MOST_SENSOR) return 'sensor';
  return 'cannot-tell';
}

interface Fit {
  readonly coefficients: readonly number[];
  readonly errors: readonly number[];
  readonly residuals: readonly number[];
}

/** Ordinary least squares by the normal equations, a handful of columns; undefined when they do not tell each other apart. */
export function leastSquares(columns: readonly (readonly number[])[], y: readonly number[]): Fit | undefined {
  const p = columns.length;
  const n = y.length;
  if (n <= p) return undefined;
  const table = columns.map((a, i) => [...columns.map((b) => dot(a, b)), ...columns.map((_, j) => (i === j ? 1 : 0)), dot(a, y)]);
  for (let i = 0; i < p; i++) {
    const row = table[i] as number[];
    const pivot = row[i] as number;
    const scale = dot(columns[i] as readonly number[], columns[i] as readonly number[]);
    if (!(Math.abs(pivot) > 1e-9 * scale)) return undefined;
    for (let c = 0; c < row.length; c++) row[c] = (row[c] as number) / pivot;
    for (let k = 0; k < p; k++) {
      if (k === i) continue;
      const other = table[k] as number[];
      const factor = other[i] as number;
      for (let c = 0; c < other.length; c++) other[c] = (other[c] as number) - factor * (row[c] as number);
    }
  }
  const coefficients = table.map((row) => row[2 * p] as number);
  const residuals = y.map((value, k) => value - columns.reduce((sum, column, i) => sum + (coefficients[i] as number) * (column[k] as number), 0));
  const variance = dot(residuals, residuals) / (n - p);
  return { coefficients, residuals, errors: table.map((row, i) => Math.sqrt(variance * (row[p + i] as number))) };
}

const dot = (a: readonly number[], b: readonly number[]): number => a.reduce((sum, value, k) => sum + value * (b[k] as number), 0);
