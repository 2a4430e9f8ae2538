/** A seeded source of random numbers: the same seed gives the same numbers on every machine. */
export interface Random {
  /** Uniform in [0, 1), 53 bits. */
  next(): number;
  /** Standard normal deviate. */
  normal(): number;
  /** Uniform integer in [0, below), for 1 <= below <= 2^32. */
  integer(below: number): number;
}

export type RandomState = readonly [number, number, number, number];

/**
 * The xoshiro128** 1.1 generator (Blackman and Vigna, public domain) as unsigned 32-bit words.
 * The state must not be all zero.
 */
export function xoshiro128(state: RandomState): () => number {
  let [a, b, c, d] = state;
  return () => {
    const product = Math.imul(b, 5);
    const word = Math.imul((product << 7) | (product >>> 25), 9) >>> 0;
    const shifted = b << 9;
    c ^= a;
    d ^= b;
    b ^= c;
    a ^= d;
    c ^= shifted;
    d = (d << 11) | (d >>> 21);
    return word;
  };
}

/** Spreads any finite number over a full state, so that neighbouring seeds give unrelated streams. */
function stateFrom(seed: number): RandomState {
  const bits = new DataView(new ArrayBuffer(8));
  bits.setFloat64(0, seed);
  let word = bits.getUint32(0) ^ Math.imul(bits.getUint32(4), 0x9e3779b1);
  const mixed = (): number => {
    word = (word + 0x9e3779b9) | 0;
    let z = word;
    z = Math.imul(z ^ (z >>> 16), 0x21f0aaad);
    z = Math.imul(z ^ (z >>> 15), 0x735a2d97);
    return z ^ (z >>> 15);
  };
  return [mixed(), mixed(), mixed(), mixed() | 1];
}

/** Creates a generator for simulation and resampling, not for secrets. `seed` is any finite number. */
export function createRandom(seed: number): Random {
  const word = xoshiro128(stateFrom(seed));
  const next = (): number => ((word() >>> 5) * 0x4000000 + (word() >>> 6)) / 0x20000000000000;
  let spare = Number.NaN;

  // Marsaglia's polar method gives two deviates at a time; the second waits in `spare`.
  const normal = (): number => {
    if (!Number.isNaN(spare)) {
      const kept = spare;
      spare = Number.NaN;
      return kept;
    }
    for (;;) {
      const x = 2 * next() - 1;
      const y = 2 * next() - 1;
      const square = x * x + y * y;
      if (square > 0 && square < 1) {
        const factor = Math.sqrt((-2 * Math.log(square)) / square);
        spare = y * factor;
        return x * factor;
      }
    }
  };

  const integer = (below: number): number => Math.floor((word() / 0x100000000) * below);

  return { next, normal, integer };
}
