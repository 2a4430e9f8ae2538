export {
  chiSquareCdf,
  chiSquareQuantile,
  chiSquareTail,
  logNegativeBinomialLowerTail,
  logNegativeBinomialUpperTail,
  logPoissonLowerTail,
  logPoissonUpperTail,
  negativeBinomialLowerTail,
  negativeBinomialUpperTail,
  normalCdf,
  normalQuantile,
  normalTail,
  poissonLowerTail,
  poissonUpperTail,
  studentTCdf,
  studentTQuantile,
  studentTTail,
} from './distributions.ts';

/** One entry per p-value, in the order given. */
export interface ManyTests {
  /** Smallest false discovery rate at which this test would be rejected. */
  readonly adjusted: Float64Array;
  readonly rejected: readonly boolean[];
}

/**
 * Benjamini and Hochberg's step-up procedure (1995): of the rejected, at most the share `q` is expected to be false.
 * Holds for independent and for positively dependent tests. p-values lie in [0, 1]; NaN (not tested) is not counted,
 * stays NaN and is never rejected.
 */
export function benjaminiHochberg(p: ArrayLike<number>, q: number): ManyTests {
  const adjusted = new Float64Array(p.length).fill(Number.NaN);
  const order: number[] = [];
  for (let i = 0; i < p.length; i++) if (!Number.isNaN(p[i] as number)) order.push(i);
  order.sort((a, b) => (p[a] as number) - (p[b] as number));
  let least = 1;
  for (let rank = order.length; rank >= 1; rank--) {
    const at = order[rank - 1] as number;
    least = Math.min(least, ((p[at] as number) * order.length) / rank);
    adjusted[at] = least;
  }
  return { adjusted, rejected: Array.from(adjusted, (value) => value <= q) };
}
