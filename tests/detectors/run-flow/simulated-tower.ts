import { createRandom } from '../../support/world/random.ts';
import type { JudgedTower } from '../../../src/detectors/run-flow/judged-cells.ts';

export interface SimulatedTower {
  readonly seed: number;
  /** Seeds per second and run. */
  readonly rate: number;
  /** Variance ÷ mean. */
  readonly fano: number;
  /** Row-to-row spread. */
  readonly spread: number;
  readonly seconds: number;
  readonly runs?: number;
  /** Flow left of a run (0-based) at a time. */
  readonly flow?: (run: number, second: number) => number;
  /** What changes for the whole tower. */
  readonly common?: (second: number) => number;
}

/** One tower's counts at 1 Hz, steadily commanded on: what the statistics of run-flow work on, without the machine around it. */
export function simulatedTower({ seed, rate, fano, spread, seconds, runs = 10, flow = () => 1, common = () => 1 }: SimulatedTower): JudgedTower {
  const random = createRandom(seed, 'tower');
  const share = Array.from({ length: runs }, () => Math.max(0.4, 1 + spread * random.normal()));
  return {
    cells: Int32Array.from({ length: seconds }, (_, k) => k),
    counts: share.map((part, run) => Float32Array.from({ length: seconds }, (_, k) => random.counts(rate * part * flow(run, k) * common(k), fano))),
    calm: new Uint8Array(seconds).fill(1),
    drill: Float32Array.from({ length: seconds }, (_, k) => common(k)),
    settling: 5,
  };
}
