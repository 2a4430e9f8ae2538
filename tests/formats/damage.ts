export type Random = (below: number) => number;

/** Repeatable whole numbers (mulberry32). */
export function createRandom(seed: number): Random {
  let state = seed >>> 0;
  return (below) => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return Math.floor((((t ^ (t >>> 14)) >>> 0) / 4_294_967_296) * below);
  };
}

/** One to four of: bit flip, overwrite, insert, delete, duplicate, truncate, join lines. */
export function damaged(bytes: Uint8Array, random: Random): Uint8Array {
  let result: Uint8Array = bytes;
  for (let times = 1 + random(4); times > 0; times -= 1) result = damagedOnce(result, random);
  return result;
}

function damagedOnce(bytes: Uint8Array, random: Random): Uint8Array {
  const at = random(Math.max(1, bytes.length));
  const length = Math.min(1 + random(40), bytes.length - at);
  const before = bytes.subarray(0, at);
  const piece = bytes.subarray(at, at + length);
  const after = bytes.subarray(at + length);
  switch (random(7)) {
    case 0: {
      const copy = Uint8Array.from(bytes);
      if (copy.length > 0) copy[at] = (copy[at] as number) ^ (1 << random(8));
      return copy;
    }
    case 1: return joined(before, piece.map(() => random(256)), after);
    case 2: return joined(before, Uint8Array.from({ length }, () => random(256)), piece, after);
    case 3: return joined(before, after);
    case 4: return joined(before, piece, piece, after);
    case 5: return joined(before);
    default: {
      const end = bytes.indexOf(10, at);
      return end < 0 ? joined(before) : joined(bytes.subarray(0, end), bytes.subarray(end + 1));
    }
  }
}

function joined(...parts: readonly Uint8Array[]): Uint8Array {
  return new Uint8Array(Buffer.concat(parts));
}
