import { describe, expect, it } from 'vitest';
import { anyAlarm, CHART_RATIOS, firstAlarm, FLOW_LEVELS, levelPath, likelihoodGain } from '../../../src/detectors/run-flow/flow-chart.ts';
import { thresholds } from '../../../src/detectors/run-flow/thresholds.ts';
import { poissonReference } from '../../../src/series/cusum.ts';
import { quantile } from '../../../src/series/robust.ts';
import { createRandom } from '../../support/world/random.ts';

const COSTS = { leave: 15, move: 10, back: 6 };

function poisson(seed: number, rate: (k: number) => number, n: number, fano: number): Float32Array {
  const random = createRandom(seed, 'chart');
  return Float32Array.from({ length: n }, (_, k) => random.counts(rate(k), fano));
}

describe('the likelihood chart on counts', () => {
  it('is the Poisson CUSUM with the published reference value (checks.md S-38: 4 → 7 gives k = 5.3608)', () => {
    expect(poissonReference(4, 7)).toBeCloseTo(5.3608, 4);
    for (const count of [0, 3, 5, 9]) {
      expect(likelihoodGain(count, 4, 7 / 4, 1)).toBeCloseTo(Math.log(7 / 4) * (count - poissonReference(4, 7)), 12);
    }
  });

  it('runs as long between false alarms, and sees a shift as soon, as the published normal CUSUM (checks.md S-19, 1982 paper, Table 1: k 0.5, h 4)', () => {
    /* Many counts are nearly normal: one standard deviation of 10⁶ counts is the ratio 1.001. */
    const mean = 1e6;
    const random = createRandom(5, 'arl');
    const runLength = (shift: number): number => {
      const ratio = 1 + 1 / Math.sqrt(mean);
      let sum = 0;
      for (let k = 1; ; k++) {
        sum = Math.max(0, sum + likelihoodGain(mean + Math.sqrt(mean) * (random.normal() + shift), mean, ratio, 1));
        if (sum >= 4) return k;
      }
    };
    const lengths = (shift: number, times: number): { readonly mean: number; readonly error: number } => {
      const values = Array.from({ length: times }, () => runLength(shift));
      const average = values.reduce((a, b) => a + b, 0) / times;
      return { mean: average, error: Math.sqrt(values.reduce((a, b) => a + (b - average) ** 2, 0) / times / times) };
    };
    /* One-sided: twice the two-sided 168 without a shift, the same 8.38 at one σ. */
    const idle = lengths(0, 2000);
    const shifted = lengths(1, 4000);
    expect(Math.abs(idle.mean - 336)).toBeLessThan(3 * idle.error + 2);
    expect(Math.abs(shifted.mean - 8.38)).toBeLessThan(3 * shifted.error + 0.05);
  });

  it('raises fewer false alarms than e^−threshold per cell, for clumped and thin counts too', () => {
    const n = 400_000;
    for (const { rate, fano } of [{ rate: 214, fano: 1.5 }, { rate: 28, fano: 3 }, { rate: 17, fano: 2 }]) {
      const counts = poisson(3, () => rate, n, fano);
      const expected = new Float32Array(n).fill(rate);
      for (const ratio of CHART_RATIOS) {
        for (const threshold of [6, 8]) {
          let alarms = 0;
          for (let from = 0; ; ) {
            const at = firstAlarm(counts, expected, ratio, fano, threshold, from);
            if (at < 0) break;
            alarms++;
            from = at + 1;
          }
          const allowed = n * Math.exp(-threshold);
          expect(alarms, `${rate}/s F ${fano} ratio ${ratio} threshold ${threshold}`).toBeLessThan(allowed + 4 * Math.sqrt(allowed));
        }
      }
    }
  });

  it('at its threshold allows under one false alarm in ten machine-days of 60 runs by that bound', () => {
    const cells = 60 * 9 * 3600 * 10;
    expect(cells * CHART_RATIOS.length * Math.exp(-thresholds.alarm)).toBeLessThan(1);
  });

  it('sees losses within twice the physically achievable time plus the 1 s of the log (trade.md e.4, 95 % detection)', () => {
    const table: readonly { readonly rate: number; readonly loss: number; readonly seconds: readonly [number, number] }[] = [
      { rate: 178, loss: 0.2, seconds: [5.4, 16] }, { rate: 178, loss: 0.3, seconds: [2.4, 7] }, { rate: 178, loss: 0.5, seconds: [0.8, 2.4] }, { rate: 178, loss: 1, seconds: [0.12, 0.35] },
      { rate: 51, loss: 0.2, seconds: [19, 57] }, { rate: 51, loss: 0.5, seconds: [2.7, 8] }, { rate: 51, loss: 1, seconds: [0.4, 1.2] },
      { rate: 28, loss: 0.2, seconds: [35, 104] }, { rate: 28, loss: 0.3, seconds: [15, 45] }, { rate: 28, loss: 0.5, seconds: [5, 15] }, { rate: 28, loss: 1, seconds: [0.7, 2.2] },
    ];
    for (const { rate, loss, seconds } of table) {
      for (const [at, fano] of [[0, 1], [1, 3]] as const) {
        const delays = Array.from({ length: 120 }, (_, seed) => {
          const counts = poisson(100 + seed, (k) => rate * (k < 60 ? 1 : 1 - loss), 460, fano);
          const expected = new Float32Array(460).fill(rate);
          const alarms = CHART_RATIOS.map((ratio) => firstAlarm(counts, expected, ratio, fano, thresholds.alarm)).filter((alarm) => alarm >= 60);
          return Math.min(400, ...alarms) - 60 + 1;
        });
        expect(quantile(delays, 0.95), `${rate}/s, loss ${loss}, F ${fano}`).toBeLessThanOrEqual(2 * seconds[at] + 1);
      }
    }
  });

  it('leaves missing cells out', () => {
    const expected = new Float32Array(50).fill(100);
    const counts = new Float32Array(50).fill(100);
    counts.fill(Number.NaN, 10, 40);
    expect(firstAlarm(counts, expected, 0.5, 1, 10)).toBe(-1);
    expect(levelPath(counts, expected, 1, COSTS).every((level) => level === 0)).toBe(true);
  });
});

describe('the level path', () => {
  it('finds begin, depth and end of a loss to the second in wheat and to some seconds in thin canola', () => {
    for (const { rate, fano, tolerance } of [{ rate: 214, fano: 1.5, tolerance: 1 }, { rate: 28, fano: 2, tolerance: 4 }]) {
      const counts = poisson(7, (k) => (k >= 400 && k < 900 ? 0.02 : 1) * rate, 1500, fano);
      const path = levelPath(counts, new Float32Array(1500).fill(rate), fano, COSTS);
      expect(Math.abs(path.findIndex((level) => level !== 0) - 400)).toBeLessThanOrEqual(tolerance);
      expect(Math.abs(path.findLastIndex((level) => level !== 0) - 899)).toBeLessThanOrEqual(tolerance);
      expect(FLOW_LEVELS[path[600] as number]).toBe(0.02);
    }
  });

  it('is the best of all paths: no worse than what trying every single stretch finds', () => {
    const n = 60;
    const counts = poisson(11, (k) => (k >= 20 && k < 44 ? 0.5 : 1) * 30, n, 1);
    const expected = new Float32Array(n).fill(30);
    const path = levelPath(counts, expected, 1, COSTS);
    const scoreOf = (levels: ArrayLike<number>): number => {
      let score = 0;
      for (let k = 0; k < n; k++) {
        const now = levels[k] as number;
        const before = k === 0 ? 0 : levels[k - 1] as number;
        if (now !== before) score -= before === 0 ? COSTS.leave : now === 0 ? COSTS.back : COSTS.move;
        if (now !== 0) score += likelihoodGain(counts[k] as number, 30, FLOW_LEVELS[now] as number, 1);
      }
      return score;
    };
    let best = 0;
    for (let level = 1; level < FLOW_LEVELS.length; level++) {
      for (let from = 0; from < n; from++) {
        for (let to = from + 1; to <= n; to++) best = Math.max(best, scoreOf(Array.from({ length: n }, (_, k) => (k >= from && k < to ? level : 0))));
      }
    }
    expect(scoreOf(path)).toBeGreaterThanOrEqual(best - 1e-9);
    expect(best).toBeGreaterThan(0);
  });
});

describe('the four charts side by side', () => {
  it('alarm exactly when one of them does', () => {
    for (let seed = 0; seed < 40; seed++) {
      const loss = (seed % 8) / 10;
      const counts = poisson(500 + seed, (k) => 20 * (k < 200 ? 1 : 1 - loss), 260, 2);
      const expected = new Float32Array(260).fill(20);
      if (seed % 5 === 0) counts.fill(Number.NaN, 100, 120);
      const alone = CHART_RATIOS.some((ratio) => firstAlarm(counts, expected, ratio, 2, 12) >= 0);
      expect(anyAlarm(counts, expected, 2, 12)).toBe(alone);
    }
  });
});
