import { describe, expect, it } from 'vitest';
import { flowRatio } from '../../../src/detectors/run-flow/dead-time.ts';
import { ownPast } from '../../../src/detectors/run-flow/own-past.ts';
import { leastSquares, redistributionTest, type FlowWindow } from '../../../src/detectors/run-flow/redistribution.ts';
import { againstUndisturbed } from '../../../src/detectors/run-flow/run-cases.ts';
import { stuckStretches } from '../../../src/detectors/run-flow/stuck.ts';
import { judgeRuns } from '../../../src/detectors/run-flow/tower-runs.ts';
import { medianInPlace, medianOfKnown, medianOfPositive } from '../../../src/detectors/run-flow/typed-median.ts';
import { presenceOf } from '../../../src/detectors/run-flow/vanished.ts';
import { spreadInterval } from '../../../src/detectors/run-flow/variation.ts';
import { observedRate } from '../../../src/series/dispersion.ts';
import { median } from '../../../src/series/robust.ts';
import { createRandom } from '../../support/world/random.ts';
import { simulatedTower } from './simulated-tower.ts';

const ALARM = 19;

describe('runs against their tower', () => {
  it('raises no alarm in clean wheat, canola and pea', () => {
    for (const { rate, fano, spread } of [{ rate: 214, fano: 1.5, spread: 0.06 }, { rate: 68, fano: 2, spread: 0.1 }, { rate: 17, fano: 3, spread: 0.12 }, { rate: 62, fano: 1.2, spread: 0.07 }]) {
      const { towers, dispersion } = judgeRuns([1, 2, 3].map((seed) => simulatedTower({ seed, rate, fano, spread, seconds: 7200 })), 1, ALARM);
      expect(towers.flatMap(({ runs }) => runs.filter((run) => run.alarmed))).toEqual([]);
      expect(dispersion).toBeGreaterThan(0.93 * fano);
      expect(dispersion).toBeLessThan(1.07 * fano);
    }
  });

  it('stays calm when rate, speed or dust change for the whole tower', () => {
    const common = (k: number): number => (k > 3000 && k < 4000 ? 0.84 : 1) * (1 + 0.4 * Math.sin(k / 200)) * (1 - (0.02 * k) / 7200);
    const { towers } = judgeRuns([simulatedTower({ seed: 4, rate: 60, fano: 2, spread: 0.1, seconds: 7200, common })], 1, ALARM);
    expect(towers[0]?.runs.some((run) => run.alarmed)).toBe(false);
  });

  it('knows a run by its own past although the fault lasts 70 % of the day, and one since the start by the drill\'s spread', () => {
    const flow = (run: number, k: number): number => (run === 2 && k > 2200 ? 0.65 : run === 6 && k < 5000 ? 0.5 : 1);
    const { towers } = judgeRuns([simulatedTower({ seed: 8, rate: 68, fano: 2, spread: 0.08, seconds: 7200, flow })], 1, ALARM);
    const off = (run: number): readonly number[] => {
      const path = towers[0]?.runs[run]?.path ?? new Uint8Array();
      return [path.findIndex((level) => level !== 0), path.findLastIndex((level) => level !== 0)];
    };
    expect(Math.abs((off(2)[0] ?? 0) - 2201)).toBeLessThan(30);
    expect(off(2)[1]).toBe(7199);
    expect(off(6)[0]).toBe(0);
    expect(Math.abs((off(6)[1] ?? 0) - 4999)).toBeLessThan(30);
    expect(towers[0]?.runs.filter((run) => run.alarmed)).toHaveLength(2);
  });

  it('judges the mates of two blocked runs as if nothing were', () => {
    const blocked = [3, 7];
    const lift = 1 + 2 / 8;
    const flow = (run: number, k: number): number => (k > 2000 && k < 5000 ? (blocked.includes(run) ? 0 : lift) : 1);
    const { towers } = judgeRuns([simulatedTower({ seed: 9, rate: 100, fano: 2, spread: 0.06, seconds: 7200, flow })], 1, ALARM);
    expect(towers[0]?.runs.flatMap((run, i) => (run.alarmed ? [i] : []))).toEqual(blocked);
  });
});

describe('own past', () => {
  const random = createRandom(2, 'past');
  const series = (level: (k: number) => number, n = 120): Float64Array => Float64Array.from({ length: n }, (_, k) => level(k) + 0.02 * random.normal());

  it('is the first level when nothing speaks against it, however short', () => {
    expect(ownPast(series((k) => (k < 30 ? 0.15 : -0.25)), 0.02, 0.1)?.level).toBeCloseTo(0.15, 1);
    expect(ownPast(series((k) => (k < 60 ? 0 : -0.43)), 0.02, 0.06)?.sinceStart).toBe(true);
  });

  it('is not a first level far outside the drill\'s spread', () => {
    const past = ownPast(series((k) => (k < 80 ? -0.45 : 0.02)), 0.02, 0.06);
    expect(past?.level).toBeCloseTo(0.02, 1);
    expect(past?.sinceStart).toBe(false);
  });

  it('is the only level there is', () => {
    expect(ownPast(series(() => -0.3), 0.02, 0.12)?.level).toBeCloseTo(-0.3, 1);
    expect(ownPast(new Float64Array(5).fill(Number.NaN), 0.02, 0.1)).toBeUndefined();
  });
});

describe('who took the flow', () => {
  /** Mates' windows with a loss q of one of n runs from the middle on; `real` = 1 when the flow is lost, 0 when only the sensor is. */
  function windows(seed: number, q: number, n: number, real: number, noise: number, count = 40): readonly FlowWindow[] {
    const random = createRandom(seed, 'mates');
    return Array.from({ length: count }, (_, k) => {
      const due = k < count / 2 ? 0 : -Math.log1p(-q / n);
      return { time: 60 * k, mates: real * due + noise * random.normal() + 1e-6 * k, due, otherDue: 0 };
    });
  }

  it('finds the rise conservation asks for (trade.md e.5: 35 % of ten → +3.9 %, a total plug → +11 %)', () => {
    const third = redistributionTest(windows(1, 0.35, 10, 1, 0.004));
    expect(third.due).toBeCloseTo(0.35 / 9.65, 3);
    expect(third.verdict).toBe('flow');
    expect(redistributionTest(windows(2, 1, 10, 1, 0.004)).due).toBeCloseTo(1 / 9, 6);
    expect(redistributionTest(windows(3, 0.35, 10, 0, 0.004)).verdict).toBe('sensor');
  });

  it('says so when it has no power', () => {
    expect(redistributionTest(windows(4, 0.15, 10, 1, 0.03, 12)).verdict).toBe('cannot-tell');
    expect(redistributionTest([]).verdict).toBe('cannot-tell');
    expect(redistributionTest(windows(4, 0.5, 10, 1, 0.004).filter(({ due }) => due > 0)).verdict).toBe('cannot-tell');
  });

  it('has an interval that holds the truth 95 times in 100', () => {
    const times = 400;
    let inside = 0;
    for (let seed = 0; seed < times; seed++) {
      const { share } = redistributionTest(windows(1000 + seed, 0.4, 10, 1, 0.01));
      if (share.low <= 1 && share.high >= 1) inside++;
    }
    /* ± 3 standard errors of a share of 0.95 in 400 */
    expect(inside / times).toBeGreaterThan(0.917);
    expect(inside / times).toBeLessThan(0.983);
  });

  it('names the wrong cause in fewer than one in a hundred', () => {
    let wrong = 0;
    for (let seed = 0; seed < 300; seed++) {
      if (redistributionTest(windows(seed, 0.35, 10, 1, 0.009)).verdict === 'sensor') wrong++;
      if (redistributionTest(windows(seed, 0.35, 10, 0, 0.009)).verdict === 'flow') wrong++;
    }
    expect(wrong).toBeLessThanOrEqual(5);
  });

  it('solves least squares as certified (NIST StRD NoInt1: slope 2.07438016528926, s 0.0165289256198347)', () => {
    const x = Array.from({ length: 11 }, (_, k) => 60 + k);
    const fit = leastSquares([x], x.map((_, k) => 130 + k));
    expect(fit?.coefficients[0]).toBeCloseTo(2.07438016528926, 12);
    expect(fit?.errors[0]).toBeCloseTo(0.0165289256198347, 12);
    expect(leastSquares([[1, 1, 1], [2, 2, 2]], [1, 2, 3])).toBeUndefined();
  });

  it('undoes the mates\' rise: 35 % of one run in ten reads 0.626 against its mates', () => {
    const seen = 0.65 / (1 + 0.35 / 9);
    expect(againstUndisturbed({ value: seen, low: seen, high: seen }, 0.1).value).toBeCloseTo(0.65, 12);
  });
});

describe('sensors', () => {
  it('undoes dead time (checks.md S-39) and covers sensors without any', () => {
    const rate = observedRate(214, 0.0006);
    const seen = observedRate(0.65 * 214, 0.0006) / rate;
    const flow = flowRatio({ value: seen, low: seen, high: seen }, rate);
    expect(flow.value).toBeCloseTo(0.65, 10);
    expect(flow.high).toBeCloseTo(seen, 10);
    expect(flow.low).toBeLessThan(0.65);
    expect(flowRatio({ value: 0, low: 0, high: 0 }, rate).value).toBe(0);
  });

  it('calls constant counts stuck and live ones not, thin ones neither', () => {
    const random = createRandom(6, 'stuck');
    const live = Float32Array.from({ length: 1200 }, () => random.counts(61, 2));
    const stuck = Float32Array.from(live, (count, k) => (k >= 300 && k < 900 ? 61 : count));
    expect(stuckStretches(live, 2, 1)).toEqual([]);
    const [stretch] = stuckStretches(stuck, 2, 1);
    expect(stretch?.value).toBeCloseTo(61, 0);
    expect(Math.abs((stretch?.from ?? 0) - 300)).toBeLessThan(4);
    expect(Math.abs((stretch?.to ?? 0) - 900)).toBeLessThan(4);
    expect(stuckStretches(new Float32Array(600).fill(1), 2, 1)).toEqual([]);
  });

  it('notices silence by what should have come, not by single zeros of thin flow', () => {
    const random = createRandom(7, 'silence');
    const thin = Float32Array.from({ length: 20_000 }, () => random.counts(5, 3));
    const drill = new Float32Array(20_000).fill(1);
    expect(presenceOf(thin, drill, 1).vanished).toEqual([]);
    const silent = Float32Array.from(thin, (count, k) => (k >= 5000 && k < 5060 ? 0 : k >= 9000 && k < 9100 ? Number.NaN : count));
    expect(presenceOf(silent, drill, 1).vanished.map(({ missing }) => missing)).toEqual([false, true]);
    expect(presenceOf(new Float32Array(100), drill, 1)).toEqual({ usual: 0, vanished: [] });
  });
});

describe('spread and medians', () => {
  it('gives the interval of a CV as published practice does (trade.md e.3: 10 % of 60 runs → 8.5–12.2 %)', () => {
    const { low, high } = spreadInterval(0.1, 60);
    expect(low).toBeCloseTo(0.085, 3);
    expect(high).toBeCloseTo(0.122, 3);
  });

  it('has the medians of the series, short and long', () => {
    const random = createRandom(1, 'median');
    for (const n of [1, 2, 5, 16, 17, 400]) {
      const values = Float64Array.from({ length: n }, () => random.normal());
      expect(medianInPlace(Float64Array.from(values))).toBeCloseTo(median(values), 12);
      expect(medianOfKnown(Float64Array.from([...values, Number.NaN]))).toBeCloseTo(median(values), 12);
    }
    expect(medianOfPositive(Float64Array.from([0, -1, 3, Number.NaN, 5]))).toBe(4);
    expect(medianOfPositive(new Float64Array(3))).toBeNaN();
  });
});
