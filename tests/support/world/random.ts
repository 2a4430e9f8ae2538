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
  /* State in typed arrays: numbers kept in closures would be boxed at every step. */
  const state = Int32Array.of(0x9e3779b9 ^ seed, 0x243f6a88, 0xb7e15162, 1);
  for (const letter of stream) state[1] = Math.imul((state[1] as number) ^ (letter.codePointAt(0) ?? 0), 0x01000193);

  const uniform = (): number => {
    const b = state[1] as number;
    const c = state[2] as number;
    const counter = state[3] as number;
    const t = ((state[0] as number) + b + counter) | 0;
    state[3] = counter + 1;
    state[0] = b ^ (b >>> 9);
    state[1] = c + (c << 3);
    state[2] = ((c << 21) | (c >>> 11)) + t;
    return (t >>> 0) / 4294967296;
  };
  for (let i = 0; i < 20; i++) uniform();

  const spare = Float64Array.of(Number.NaN);
  const normal = (): number => {
    const kept = spare[0] as number;
    if (!Number.isNaN(kept)) {
      spare[0] = Number.NaN;
      return kept;
    }
    /* Polar method: no sine, no cosine. */
    for (;;) {
      const x = 2 * uniform() - 1;
      const y = 2 * uniform() - 1;
      const square = x * x + y * y;
      if (square >= 1 || square === 0) continue;
      const scale = Math.sqrt((-2 * Math.log(square)) / square);
      spare[0] = y * scale;
      return x * scale;
    }
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
      const u = 1 - uniform();
      /* Accepts nearly always, without a logarithm. */
      if (u < 1 - 0.0331 * x * x * x * x) return d * v;
      if (Math.log(u) < 0.5 * x * x + d - d * v + d * Math.log(v)) return d * v;
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
  return (x - 0.5) * Math.log(x) - x + 0.9189385332046727 + 1 / (12 * x) - 1 / (360 * x * x * x);
}
const SMALL_LOG_FACTORIALS: readonly number[] = Array.from({ length: 10 }, (_, k) => {
  let sum = 0;
  for (let i = 2; i <= k; i++) sum += Math.log(i);
  return sum;
});

/** Ornstein–Uhlenbeck noise: mean 0, standard deviation `sd`, correlation time `tau` seconds; call with the step in seconds. */
export function wander(random: Random, sd: number, tau: number): (seconds: number) => number {
  const state = Float64Array.of(sd * random.normal());
  const steps = new Float64Array(3);
  return (seconds) => {
    if (seconds !== steps[0]) {
      const keep = Math.exp(-seconds / tau);
      steps.set([seconds, keep, sd * Math.sqrt(1 - keep * keep)]);
    }
    return (state[0] = (state[0] as number) * (steps[1] as number) + (steps[2] as number) * random.normal());
  };
}
