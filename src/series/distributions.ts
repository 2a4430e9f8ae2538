import { logIncompleteBeta, logIncompleteGamma, rootOfIncreasing, type LogTails } from './special-functions.ts';

/*
 * simple-statistics has the normal distribution only as a four-digit table and has no t, F or gamma distribution,
 * so these are ours. All take and give plain probabilities unless the name says `log`; NaN in gives NaN out.
 */

/** P(Z > z) of the standard normal; keeps its relative precision far out (1e-300). */
export function normalTail(z: number): number {
  if (Number.isNaN(z)) return Number.NaN;
  const { upper } = logIncompleteGamma(0.5, (z * z) / 2);
  const half = 0.5 * Math.exp(upper);
  return z >= 0 ? half : 1 - half;
}

/** P(Z <= z) of the standard normal. */
export function normalCdf(z: number): number {
  return normalTail(-z);
}

/** The z with P(Z <= z) = p; 0 gives -Infinity, 1 gives Infinity. */
export function normalQuantile(p: number): number {
  if (!(p >= 0 && p <= 1)) return Number.NaN;
  if (p === 0 || p === 1) return p === 0 ? -Infinity : Infinity;
  if (p > 0.5) return -normalQuantile(1 - p);
  // Abramowitz and Stegun 26.2.23 (from memory) is good to 4.5e-4; Newton steps on ln P finish it.
  const t = Math.sqrt(-2 * Math.log(p));
  let z = t - (2.515517 + t * (0.802853 + t * 0.010328)) / (1 + t * (1.432788 + t * (0.189269 + t * 0.001308)));
  for (let k = 0; k < 8; k++) {
    const tail = normalTail(z);
    const density = Math.exp((-z * z) / 2) / Math.sqrt(2 * Math.PI);
    const step = (Math.log(tail / p) * tail) / density;
    z += step;
    if (Math.abs(step) < 1e-15 * Math.max(1, z)) break;
  }
  return p === 0.5 ? 0 : -z;
}

function chiSquareTails(x: number, degreesOfFreedom: number): LogTails {
  return logIncompleteGamma(degreesOfFreedom / 2, x / 2);
}

/** P(X <= x) of chi-square. */
export function chiSquareCdf(x: number, degreesOfFreedom: number): number {
  return Math.exp(chiSquareTails(x, degreesOfFreedom).lower);
}

/** P(X > x) of chi-square. */
export function chiSquareTail(x: number, degreesOfFreedom: number): number {
  return Math.exp(chiSquareTails(x, degreesOfFreedom).upper);
}

/** Solves for the smaller of the two tails, which is the one that carries the digits. */
function quantileFrom(tails: (x: number) => LogTails, p: number, guess: number): number {
  if (!(p >= 0 && p <= 1)) return Number.NaN;
  if (p === 0 || p === 1) return p === 0 ? 0 : Infinity;
  const target = p < 0.5 ? Math.log(p) : Math.log1p(-p);
  return rootOfIncreasing((x) => (p < 0.5 ? tails(x).lower - target : target - tails(x).upper), guess);
}

/** The x with P(X <= x) = p of chi-square. */
export function chiSquareQuantile(p: number, degreesOfFreedom: number): number {
  return quantileFrom((x) => chiSquareTails(x, degreesOfFreedom), p, degreesOfFreedom);
}

/** P(T > t) of Student's t; degrees of freedom may be fractional, Infinity is the normal distribution. */
export function studentTTail(t: number, degreesOfFreedom: number): number {
  if (degreesOfFreedom === Infinity) return normalTail(t);
  if (Math.abs(t) === Infinity) return t > 0 ? 0 : 1;
  const square = t * t;
  const total = degreesOfFreedom + square;
  const { lower } = logIncompleteBeta(degreesOfFreedom / total, square / total, degreesOfFreedom / 2, 0.5);
  const half = 0.5 * Math.exp(lower);
  return t >= 0 ? half : 1 - half;
}

/** P(T <= t) of Student's t. */
export function studentTCdf(t: number, degreesOfFreedom: number): number {
  return studentTTail(-t, degreesOfFreedom);
}

/** The t with P(T <= t) = p of Student's t. */
export function studentTQuantile(p: number, degreesOfFreedom: number): number {
  if (degreesOfFreedom === Infinity) return normalQuantile(p);
  if (!(p >= 0 && p <= 1)) return Number.NaN;
  if (p < 0.5) return -studentTQuantile(1 - p, degreesOfFreedom);
  if (p === 0.5) return 0;
  if (p === 1) return Infinity;
  return rootOfIncreasing((t) => 1 - p - studentTTail(t, degreesOfFreedom), 1);
}

function fTails(x: number, df1: number, df2: number): LogTails {
  if (x === Infinity) return { lower: 0, upper: -Infinity };
  const total = df1 * x + df2;
  return logIncompleteBeta((df1 * x) / total, df2 / total, df1 / 2, df2 / 2);
}

/** P(X <= x) of the F distribution. */
export function fCdf(x: number, df1: number, df2: number): number {
  return Math.exp(fTails(x, df1, df2).lower);
}

/** P(X > x) of the F distribution. */
export function fTail(x: number, df1: number, df2: number): number {
  return Math.exp(fTails(x, df1, df2).upper);
}

/** The x with P(X <= x) = p of the F distribution. */
export function fQuantile(p: number, df1: number, df2: number): number {
  return quantileFrom((x) => fTails(x, df1, df2), p, 1);
}

/** ln P(X <= count) of a Poisson count with this mean; count -1 gives -Infinity. */
export function logPoissonLowerTail(count: number, mean: number): number {
  if (count < 0) return -Infinity;
  return logIncompleteGamma(Math.floor(count) + 1, mean).upper;
}

/** ln P(X >= count) of a Poisson count with this mean. */
export function logPoissonUpperTail(count: number, mean: number): number {
  if (count <= 0) return 0;
  return logIncompleteGamma(Math.ceil(count), mean).lower;
}

/** P(X <= count) of a Poisson count with this mean. */
export function poissonLowerTail(count: number, mean: number): number {
  return Math.exp(logPoissonLowerTail(count, mean));
}

/** P(X >= count) of a Poisson count with this mean. */
export function poissonUpperTail(count: number, mean: number): number {
  return Math.exp(logPoissonUpperTail(count, mean));
}

function negativeBinomialTails(upTo: number, mean: number, size: number): LogTails {
  return logIncompleteBeta(size / (size + mean), mean / (size + mean), size, upTo + 1);
}

/**
 * ln P(X <= count) of a negative binomial count with this mean and variance mean + mean²/size;
 * `size` Infinity is Poisson.
 */
export function logNegativeBinomialLowerTail(count: number, mean: number, size: number): number {
  if (size === Infinity) return logPoissonLowerTail(count, mean);
  if (count < 0) return -Infinity;
  return negativeBinomialTails(Math.floor(count), mean, size).lower;
}

/** ln P(X >= count) of the same negative binomial count. */
export function logNegativeBinomialUpperTail(count: number, mean: number, size: number): number {
  if (size === Infinity) return logPoissonUpperTail(count, mean);
  if (count <= 0) return 0;
  return negativeBinomialTails(Math.ceil(count) - 1, mean, size).upper;
}

/** P(X <= count) of a negative binomial count with this mean and variance mean + mean²/size. */
export function negativeBinomialLowerTail(count: number, mean: number, size: number): number {
  return Math.exp(logNegativeBinomialLowerTail(count, mean, size));
}

/** P(X >= count) of the same negative binomial count. */
export function negativeBinomialUpperTail(count: number, mean: number, size: number): number {
  return Math.exp(logNegativeBinomialUpperTail(count, mean, size));
}
