import { studentTQuantile } from './distributions.ts';

/* After JCGM 100 (the GUM). Clause numbers from memory. */

export interface Estimate {
  readonly value: number;
  readonly standardUncertainty: number;
  /** Infinity (the default) for an uncertainty taken as exactly known. */
  readonly degreesOfFreedom?: number;
}

export interface Factor extends Estimate {
  /** The power with which it enters the product; default 1, -1 for a divisor. */
  readonly power?: number;
}

export interface Contribution {
  /** |∂y/∂x|·u(x), in the unit of the result. */
  readonly standardUncertainty: number;
  readonly degreesOfFreedom?: number;
}

/** Root sum of squares of independent contributions (GUM 5.1.2). */
export function combined(contributions: readonly Contribution[]): number {
  return Math.hypot(...contributions.map((part) => part.standardUncertainty));
}

/** Effective degrees of freedom of independent contributions, Welch and Satterthwaite (GUM G.4.1); not yet truncated. */
export function welchSatterthwaite(contributions: readonly Contribution[]): number {
  let below = 0;
  for (const { standardUncertainty, degreesOfFreedom = Infinity } of contributions) {
    below += standardUncertainty ** 4 / degreesOfFreedom;
  }
  return below > 0 ? combined(contributions) ** 4 / below : Infinity;
}

/** Product of independent factors, each to its power, first order (GUM 5.1.2, 5.1.6); any factor may be 0 with power 1. */
export function combineProduct(factors: readonly Factor[]): Required<Estimate> {
  const valueOf = (parts: readonly Factor[]) => parts.reduce((product, part) => product * part.value ** (part.power ?? 1), 1);
  const contributions = factors.map((factor, at): Contribution => {
    const power = factor.power ?? 1;
    const slope = power * factor.value ** (power - 1) * valueOf(factors.filter((_, other) => other !== at));
    const { degreesOfFreedom = Infinity } = factor;
    return { standardUncertainty: Math.abs(slope) * factor.standardUncertainty, degreesOfFreedom };
  });
  return {
    value: valueOf(factors),
    standardUncertainty: combined(contributions),
    degreesOfFreedom: welchSatterthwaite(contributions),
  };
}

/** Student's factor for this level of confidence; degrees of freedom are truncated to a whole number (GUM G.4.1), at least 1. */
export function coverageFactor(degreesOfFreedom: number, level = 0.95): number {
  return studentTQuantile((1 + level) / 2, Math.max(1, Math.floor(degreesOfFreedom)));
}

/** Expanded uncertainty: the half-width of the interval that holds the value with this level of confidence. */
export function expanded(standardUncertainty: number, degreesOfFreedom: number, level = 0.95): number {
  return coverageFactor(degreesOfFreedom, level) * standardUncertainty;
}
