import { MAD_TO_SIGMA } from '../../series/robust.ts';
import { medianInPlace, medianOfKnown } from './typed-median.ts';

/**
 * Each run against its tower in windows of about a minute: ln(run ÷ median of the tower) by a two-way robust fit,
 * run effect + tower × time effect. What changes for the whole tower (rate, speed, dust) falls out.
 */
export interface RunLevels {
  /** Judged entries per window. */
  readonly width: number;
  readonly windows: number;
  /** Per run: ln ratio to its tower in each window; NaN where the run gave too little. */
  readonly ratio: readonly Float64Array[];
  /** Per run: standard deviation of one window around its level, robust. */
  readonly scatter: Float64Array;
}

const WINDOW_SECONDS = 60;
/** A window needs this share of its entries. */
const FULL_ENOUGH = 0.4;
/** Sweeps of the median polish; further ones move nothing that matters here. */
const SWEEPS = 3;

/** `usable[i][j]` = 1 where run i's entry j may be compared. */
export function runLevels(counts: readonly Float32Array[], usable: readonly Uint8Array[], step: number): RunLevels {
  const width = Math.max(4, Math.round(WINDOW_SECONDS / step));
  const windows = Math.floor((counts[0]?.length ?? 0) / width);
  const logs = counts.map((count, i) => logWindows(count, usable[i] as Uint8Array, width, windows));
  const own = Float64Array.from(logs, medianOfKnown);
  const tower = new Float64Array(windows);
  const line = new Float64Array(Math.max(windows, logs.length));
  for (let sweep = 0; sweep < SWEEPS; sweep++) {
    for (let w = 0; w < windows; w++) {
      let n = 0;
      for (let i = 0; i < logs.length; i++) {
        const value = (logs[i]?.[w] as number) - (own[i] as number);
        if (!Number.isNaN(value)) line[n++] = value;
      }
      tower[w] = medianInPlace(line, n);
    }
    for (const [i, log] of logs.entries()) {
      let n = 0;
      for (let w = 0; w < windows; w++) {
        const value = (log[w] as number) - (tower[w] as number);
        if (!Number.isNaN(value)) line[n++] = value;
      }
      own[i] = medianInPlace(line, n);
    }
    const centre = medianOfKnown(own);
    if (!Number.isNaN(centre)) for (let i = 0; i < own.length; i++) own[i] = (own[i] as number) - centre;
  }
  const ratio = logs.map((log) => log.map((value, w) => value - (tower[w] as number)));
  return { width, windows, ratio: centred(ratio), scatter: Float64Array.from(ratio, scatterOf) };
}

/** The tower's middle run stands at 0. */
function centred(ratio: readonly Float64Array[]): readonly Float64Array[] {
  const shift = medianOfKnown(Float64Array.from(ratio, medianOfKnown));
  return Number.isNaN(shift) ? ratio : ratio.map((values) => values.map((value) => value - shift));
}

/** ln(count + 3/8), brought to a full window; the 3/8 keeps thin counts from skewing the logarithm (checks.md 8.3 D3). */
function logWindows(counts: Float32Array, usable: Uint8Array, width: number, windows: number): Float64Array {
  const logs = new Float64Array(windows);
  for (let w = 0; w < windows; w++) {
    let sum = 0;
    let n = 0;
    for (let j = w * width; j < (w + 1) * width; j++) {
      if (usable[j] !== 1) continue;
      sum += counts[j] as number;
      n++;
    }
    logs[w] = n < FULL_ENOUGH * width ? Number.NaN : Math.log((sum * width) / n + 0.375);
  }
  return logs;
}

/** Median absolute difference of neighbours, so that a step or drift does not count as scatter. */
function scatterOf(ratio: Float64Array): number {
  const differences = new Float64Array(ratio.length);
  let n = 0;
  let before = Number.NaN;
  for (const value of ratio) {
    if (Number.isNaN(value)) continue;
    if (!Number.isNaN(before)) differences[n++] = Math.abs(value - before);
    before = value;
  }
  return n < 3 ? Number.NaN : (MAD_TO_SIGMA * medianInPlace(differences, n)) / Math.SQRT2;
}
