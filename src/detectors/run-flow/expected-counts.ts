import { median } from '../../series/robust.ts';

/** Flow of a tower from those of its runs that can be relied on, per judged entry. */
export interface TowerReference {
  /** Counts of the usable runs together, and their gains. */
  readonly sum: Float64Array;
  readonly gain: Float64Array;
}

export function towerReference(counts: readonly Float32Array[], usable: readonly Uint8Array[], gains: readonly number[]): TowerReference {
  const entries = counts[0]?.length ?? 0;
  const sum = new Float64Array(entries);
  const gain = new Float64Array(entries);
  for (let i = 0; i < counts.length; i++) addUsable({ sum, gain }, counts[i] as Float32Array, usable[i] as Uint8Array, gains[i] as number);
  return { sum, gain };
}

function addUsable({ sum, gain }: TowerReference, counts: Float32Array, usable: Uint8Array, own: number): void {
  for (let j = 0; j < counts.length; j++) {
    if (usable[j] !== 1) continue;
    sum[j] = (sum[j] as number) + (counts[j] as number);
    gain[j] = (gain[j] as number) + own;
  }
}

/** What one run should have counted by its mates (itself left out) and its own gain; NaN without a usable mate. */
export function expectedCounts(reference: TowerReference, counts: Float32Array, usable: Uint8Array, gain: number): Float32Array {
  const expected = new Float32Array(counts.length);
  for (let j = 0; j < counts.length; j++) {
    const self = usable[j] === 1;
    const mates = (reference.gain[j] as number) - (self ? gain : 0);
    expected[j] = mates > 1e-9 ? (gain * ((reference.sum[j] as number) - (self ? counts[j] as number : 0))) / mates : Number.NaN;
  }
  return expected;
}

/** Index of dispersion (variance ÷ mean) of counts about what was expected of them. */
export interface Dispersion {
  /** Cell by cell. */
  readonly quick: number;
  /** Over blocks of half a minute: larger when the flow wanders slowly or the logger smooths. */
  readonly slow: number;
}

const WINDOW = 60;
const BLOCK_SECONDS = 30;
/** Median of chi-square with one degree of freedom. */
const MEDIAN_CHI_SQUARE = 0.4549364;

/** `share` is the run's share of the tower: the expectation comes from the others and carries their noise. Medians over windows, so that faults do not count. */
export function dispersionOf(counts: Float32Array, expected: Float32Array, usable: Uint8Array, share: number, step: number): Dispersion {
  const inflation = 1 + share / Math.max(1e-6, 1 - share);
  const block = Math.max(1, Math.round(BLOCK_SECONDS / step));
  const quick: number[] = [];
  const slow: number[] = [];
  let squares = 0;
  let n = 0;
  let off = 0;
  let due = 0;
  let inBlock = 0;
  for (let j = 0; j < counts.length; j++) {
    const mean = expected[j] as number;
    if (usable[j] !== 1 || !(mean > 0)) continue;
    const error = (counts[j] as number) - mean;
    squares += (error * error) / mean;
    off += error;
    due += mean;
    if (++n === WINDOW) {
      quick.push(squares / n / inflation);
      squares = 0;
      n = 0;
    }
    if (++inBlock === block) {
      slow.push((off * off) / due / inflation);
      off = 0;
      due = 0;
      inBlock = 0;
    }
  }
  return { quick: median(quick), slow: median(slow) / MEDIAN_CHI_SQUARE };
}
