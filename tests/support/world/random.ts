/** Seeded random numbers, so that a synthetic day is the same on every machine. */
export interface Random {
  /** 0 ≤ u < 1 */
  readonly uniform: () => number;
  /** Mean 0, sd 1. */
  readonly normal: () => number;
  readonly poisson: (mean: number) => number;
  /** Shape > 0, scale 1 (Marsaglia & Tsang 2000, from memory). */
  readonly gamma: (shape: number) => number;
  /** Counts with variance = fano × mean (fano ≥ 1): a Poisson whose mean is gamma distributed. */
  readonly counts: (mean: number, fano: number) => number;
  readonly between: (low: number, high: number) => number;
}

/** sfc32 (from memory, public domain), 32-bit state words stirred from seed and stream name. */
export function createRandom(seed: number, stream = ''): Random {
  let a = 0x9e3779b9 ^ seed;
  let b = 0x243f6a88;
  let c = 0xb7e15162;
  let counter = 1;
  for (const letter of stream) b = Math.imul(b ^ (letter.codePointAt(0) ?? 0), 0x01000193);

  const uniform = (): number => {
    const t = (((a + b) | 0) + counter) | 0;
    counter = (counter + 1) | 0;
    a = b ^ (b >>> 9);
    b = (c + (c << 3)) | 0;
    c = ((c << 21) | (c >>> 11)) + t | 0;
    return (t >>> 0) / 4294967296;
  };
  for (let i = 0; i < 20; i++) uniform();

  let spare = Number.NaN;
  const normal = (): number => {
    if (!Number.isNaN(spare)) {
      const kept = spare;
      spare = Number.NaN;
      return kept;
    }
    /* Box–Muller; 1 − u avoids log 0. */
    const radius = Math.sqrt(-2 * Math.log(1 - uniform()));
    const angle = 2 * Math.PI * uniform();
    spare = radius * Math.sin(angle);
    return radius * Math.cos(angle);
  };

  const gamma = (shape: number): number => {
    if (shape < 1) return gamma(shape + 1) * (1 - uniform()) ** (1 / shape);
    const d = shape - 1 / 3;
    const k = 1 / Math.sqrt(9 * d);
    for (;;) {
      const x = normal();
      const cube = 1 + k * x;
      if (cube <= 0) continue;
      const v = cube * cube * cube;
      if (Math.log(1 - uniform()) < 0.5 * x * x + d - d * v + d * Math.log(v)) return d * v;
    }
  };

  const poisson = (mean: number): number => {
    if (mean <= 0) return 0;
    if (mean < 12) {
      const limit = Math.exp(-mean);
      let product = uniform();
      let n = 0;
      while (product > limit) {
        product *= uniform();
        n++;
      }
      return n;
    }
    /* Transformed rejection, Hörmann 1993 (PTRS, from memory). */
    const slam = Math.sqrt(mean);
    const logMean = Math.log(mean);
    const bb = 0.931 + 2.53 * slam;
    const aa = -0.059 + 0.02483 * bb;
    const inverseAlpha = 1.1239 + 1.1328 / (bb - 3.4);
    const vr = 0.9277 - 3.6224 / (bb - 2);
    for (;;) {
      const u = uniform() - 0.5;
      const v = 1 - uniform();
      const us = 0.5 - Math.abs(u);
      const k = Math.floor((2 * aa / us + bb) * u + mean + 0.43);
      if (us >= 0.07 && v <= vr) return k;
      if (k < 0 || (us < 0.013 && v > us)) continue;
      if (Math.log(v) + Math.log(inverseAlpha) - Math.log(aa / (us * us) + bb) <= k * logMean - mean - logFactorial(k)) return k;
    }
  };

  return {
    uniform, normal, gamma, poisson,
    counts: (mean, fano) => (mean <= 0 ? 0 : fano <= 1 ? poisson(mean) : poisson(gamma(mean / (fano - 1)) * (fano - 1))),
    between: (low, high) => low + (high - low) * uniform(),
  };
}

/** Stirling's series, good to 1e-9 from k = 10 on; below that a table. */
function logFactorial(k: number): number {
  if (k < 10) return SMALL_LOG_FACTORIALS[k] ?? 0;
  const x = k + 1;
  return (x - 0.5) * Math.log(x) - x + 0.9189385332046727 + 1 / (12 * x) - 1 / (360 * x ** 3);
}
const SMALL_LOG_FACTORIALS: readonly number[] = Array.from({ length: 10 }, (_, k) => {
  let sum = 0;
  for (let i = 2; i <= k; i++) sum += Math.log(i);
  return sum;
});

/** Ornstein–Uhlenbeck noise: mean 0, standard deviation `sd`, correlation time `tau` seconds; call with the step in seconds. */
export function wander(random: Random, sd: number, tau: number): (seconds: number) => number {
  let value = sd * random.normal();
  let keptStep = Number.NaN;
  let keep = 0;
  let stir = 0;
  return (seconds) => {
    if (seconds !== keptStep) {
      keptStep = seconds;
      keep = Math.exp(-seconds / tau);
      stir = sd * Math.sqrt(1 - keep * keep);
    }
    value = value * keep + stir * random.normal();
    return value;
  };
}
