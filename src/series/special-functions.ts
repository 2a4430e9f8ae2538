import { gammaln } from 'simple-statistics';

/** Natural logarithms of a probability and of its complement; logs, so that neither underflows. */
export interface LogTails {
  readonly lower: number;
  readonly upper: number;
}

const TINY = 1e-300;
const PRECISION = 1e-16;
const MOST_TERMS = 100_000;

/** ln(1 - e^x) for x <= 0. */
function logComplement(x: number): number {
  return x > -Math.LN2 ? Math.log(-Math.expm1(x)) : Math.log1p(-Math.exp(x));
}

/** x - ln(1 + x) without cancellation near 0. */
function excessOverLog(x: number): number {
  if (Math.abs(x) > 0.05) return x - Math.log1p(x);
  let sum = 0;
  let power = -x;
  for (let k = 2; k < 20; k++) {
    power *= -x;
    sum += power / k;
  }
  return sum;
}

/** ln Γ(a) minus Stirling's leading terms, for a >= 10. */
function stirlingError(a: number): number {
  const s = 1 / (a * a);
  return (1 / 12 - s * (1 / 360 - s * (1 / 1260 - s * (1 / 1680 - s / 1188)))) / a;
}

/** ln( x^a e^-x / Γ(a) ); the second form keeps full precision when a is large and x is near it. */
function logGammaKernel(a: number, x: number): number {
  if (a < 10) return a * Math.log(x) - x - gammaln(a);
  return 0.5 * Math.log(a / (2 * Math.PI)) - a * excessOverLog((x - a) / a) - stirlingError(a);
}

/**
 * The regularised incomplete gamma functions P(a, x) (`lower`) and Q(a, x) (`upper`), as logarithms; a > 0, x >= 0.
 * Power series below a + 1, continued fraction above (NIST DLMF 8.7.1 and 8.9.2, from memory).
 */
export function logIncompleteGamma(a: number, x: number): LogTails {
  if (Number.isNaN(a) || Number.isNaN(x)) return { lower: Number.NaN, upper: Number.NaN };
  if (x <= 0) return { lower: -Infinity, upper: 0 };
  if (x === Infinity) return { lower: 0, upper: -Infinity };
  if (x < a + 1) {
    let term = 1 / a;
    let sum = term;
    for (let k = 1; k < MOST_TERMS && term > sum * PRECISION; k++) {
      term *= x / (a + k);
      sum += term;
    }
    const lower = Math.min(0, logGammaKernel(a, x) + Math.log(sum));
    return { lower, upper: logComplement(lower) };
  }
  let b = x + 1 - a;
  let c = 1 / TINY;
  let d = 1 / b;
  let fraction = d;
  for (let k = 1; k < MOST_TERMS; k++) {
    const numerator = -k * (k - a);
    b += 2;
    d = 1 / nonZero(numerator * d + b);
    c = nonZero(b + numerator / c);
    const step = c * d;
    fraction *= step;
    if (Math.abs(step - 1) < PRECISION) break;
  }
  const upper = Math.min(0, logGammaKernel(a, x) + Math.log(fraction));
  return { lower: logComplement(upper), upper };
}

function nonZero(x: number): number {
  return Math.abs(x) < TINY ? TINY : x;
}

/** The continued fraction of the incomplete beta function (NIST DLMF 8.17.22, from memory), modified Lentz. */
function betaFraction(x: number, a: number, b: number): number {
  let c = 1;
  let d = 1 / nonZero(1 - ((a + b) * x) / (a + 1));
  let fraction = d;
  for (let k = 1; k < MOST_TERMS; k++) {
    const even = (k * (b - k) * x) / ((a + 2 * k - 1) * (a + 2 * k));
    d = 1 / nonZero(1 + even * d);
    c = nonZero(1 + even / c);
    fraction *= d * c;
    const odd = (-(a + k) * (a + b + k) * x) / ((a + 2 * k) * (a + 2 * k + 1));
    d = 1 / nonZero(1 + odd * d);
    c = nonZero(1 + odd / c);
    const step = d * c;
    fraction *= step;
    if (Math.abs(step - 1) < PRECISION) break;
  }
  return fraction;
}

/** ln Γ(large + small) - ln Γ(large), for large >= 10, without the difference of two large numbers. */
function logGammaStep(large: number, small: number): number {
  const sum = large + small;
  return (large - 0.5) * Math.log1p(small / large) + small * (Math.log(sum) - 1) + stirlingError(sum) - stirlingError(large);
}

/** ln( x^a·y^b / B(a, b) ) with y = 1 - x. */
function logBetaKernel(x: number, y: number, a: number, b: number): number {
  const sum = a + b;
  if (Math.min(a, b) >= 10) {
    const scale = 0.5 * Math.log((a * b) / (2 * Math.PI * sum)) + stirlingError(sum) - stirlingError(a) - stirlingError(b);
    return scale - a * excessOverLog((x * sum) / a - 1) - b * excessOverLog((y * sum) / b - 1);
  }
  const powers = a * (x > 0.5 ? Math.log1p(-y) : Math.log(x)) + b * (y > 0.5 ? Math.log1p(-x) : Math.log(y));
  if (a >= 10) return powers + logGammaStep(a, b) - gammaln(b);
  if (b >= 10) return powers + logGammaStep(b, a) - gammaln(a);
  return powers + gammaln(sum) - gammaln(a) - gammaln(b);
}

/**
 * The regularised incomplete beta function I_x(a, b) (`lower`) and its complement (`upper`), as logarithms.
 * `complement` is 1 - x, given separately so that neither end of [0, 1] loses digits; a, b > 0.
 */
export function logIncompleteBeta(x: number, complement: number, a: number, b: number): LogTails {
  if (Number.isNaN(x + a + b)) return { lower: Number.NaN, upper: Number.NaN };
  if (x <= 0) return { lower: -Infinity, upper: 0 };
  if (complement <= 0) return { lower: 0, upper: -Infinity };
  const kernel = logBetaKernel(x, complement, a, b);
  if (x < (a + 1) / (a + b + 2)) {
    const lower = Math.min(0, kernel + Math.log(betaFraction(x, a, b) / a));
    return { lower, upper: logComplement(lower) };
  }
  const upper = Math.min(0, kernel + Math.log(betaFraction(complement, b, a) / b));
  return { lower: logComplement(upper), upper };
}

/** Where an increasing function crosses zero, by halving a bracket grown from `guess` > 0 over (0, ∞). */
export function rootOfIncreasing(f: (x: number) => number, guess: number): number {
  let low = guess;
  let high = guess;
  while (f(high) < 0 && high < 1e300) high *= 2;
  while (f(low) > 0 && low > 1e-300) low /= 2;
  for (let k = 0; k < 200; k++) {
    const middle = low + (high - low) / 2;
    if (middle <= low || middle >= high) break;
    if (f(middle) < 0) low = middle;
    else high = middle;
  }
  return low + (high - low) / 2;
}
