import type { Random } from '../formats/damage.ts';

/** One to three of ten kinds of damage, seeded: the same numbers give the same bytes. `other` = what pieces are spliced in from. */
export function mutated(bytes: Uint8Array, other: Uint8Array, random: Random): Uint8Array {
  let result = bytes;
  for (let times = 1 + random(3); times > 0; times -= 1) result = mutatedOnce(result, other, random);
  return result;
}

function mutatedOnce(bytes: Uint8Array, other: Uint8Array, random: Random): Uint8Array {
  if (bytes.length === 0) return other.slice(0, random(other.length + 1));
  const at = random(bytes.length);
  const length = Math.min(1 + random(24), bytes.length - at);
  switch (random(10)) {
    case 0: return changed(bytes, (copy) => { copy[at] = (copy[at] as number) ^ (1 << random(8)); });
    case 1: return changed(bytes, (copy) => { for (let i = at; i < at + length; i += 1) copy[i] = random(256); });
    case 2: return joined(bytes.subarray(0, at), Uint8Array.from({ length }, () => random(256)), bytes.subarray(at));
    case 3: return joined(bytes.subarray(0, at), bytes.subarray(at + length));
    case 4: {
      const from = random(other.length);
      return joined(bytes.subarray(0, at), other.subarray(from, from + 1 + random(64)), bytes.subarray(at));
    }
    case 5: return bytes.slice(0, at);
    case 6: {
      const [from, to] = lineAt(bytes, at);
      return joined(bytes.subarray(0, to), bytes.subarray(from));
    }
    case 7: {
      const [, to] = lineAt(bytes, at);
      return joined(bytes.subarray(0, to - 1), bytes.subarray(to));
    }
    case 8: {
      const size = random(2) === 0 ? 2 : 4;
      return changed(bytes, (copy) => copy.subarray(at, at + size).reverse());
    }
    /* Numbers that readers trip over: none, all ones, the sign alone. */
    default: return changed(bytes, (copy) => copy.fill([0, 0xff, 0x7f, 0x80][random(4)] as number, at, at + (1 << random(3))));
  }
}

/** The line around `at`, its end included. */
function lineAt(bytes: Uint8Array, at: number): readonly [from: number, to: number] {
  const end = bytes.indexOf(10, at);
  return [bytes.lastIndexOf(10, at - 1) + 1, end < 0 ? bytes.length : end + 1];
}

function changed(bytes: Uint8Array, change: (copy: Uint8Array) => unknown): Uint8Array {
  const copy = Uint8Array.from(bytes);
  change(copy);
  return copy;
}

function joined(...parts: readonly Uint8Array[]): Uint8Array {
  const whole = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    whole.set(part, at);
    at += part.length;
  }
  return whole;
}
