import { describe, expect, it } from 'vitest';
import { delayEstimate, distanceFit } from '../../../src/detectors/section-timing/delay-estimate.ts';
import { delayVerdict } from '../../../src/detectors/section-timing/delay-findings.ts';
import { crossings, type Edge, type SectionRuns } from '../../../src/detectors/section-timing/edges.ts';
import { sectionTimingOptions } from '../../../src/detectors/section-timing/options.ts';
import { responseShape } from '../../../src/detectors/section-timing/response-shape.ts';
import { integrate, runSamples } from '../../../src/detectors/section-timing/run-samples.ts';
import { createRandom } from '../../support/world/random.ts';

const SHARP = { halfFlow: 0, uncertain: 0.001 };
const edge = (section: string, time: number, delay: number, speed = 2.2): Edge => ({ section, on: true, time, delay, towers: [delay], seen: [delay], speed, airAdded: 0, calm: true, steady: { from: time, to: time + 10 } });

/** `n` crossings of `sections` sections with a crossing's own shift and each edge's own noise, s. */
function made(seed: number, n: number, sections: number, shared: number, noise: number): readonly Edge[] {
  const random = createRandom(seed, 'edges');
  return Array.from({ length: n }, (_, k) => {
    const together = shared * random.normal();
    return Array.from({ length: sections }, (_, s) => edge(String(s), 100 * k + s * 0.3, 2 + 0.2 * s + together + noise * random.normal()));
  }).flat();
}

describe('the delay of many edges', () => {
  it('has an interval that holds the truth between 92 and 98 times in 100, few crossings or many', () => {
    for (const { n, shared, noise } of [{ n: 8, shared: 0.1, noise: 0.3 }, { n: 25, shared: 0.15, noise: 0.2 }]) {
      const times = 250;
      let inside = 0;
      for (let seed = 0; seed < times; seed++) {
        const units = crossings(made(seed, n, 3, shared, noise), true);
        const estimate = delayEstimate(['0', '1', '2'], units, (each, group) => (each.section === group ? each.delay : undefined), SHARP, 0.01);
        if (estimate !== undefined && estimate.low <= 2.2 && estimate.high >= 2.2) inside++;
      }
      /* ± 2 standard errors of a share of 0.95 in 250 */
      expect(inside / times, `${n} crossings`).toBeGreaterThan(0.92 - 0.028);
      expect(inside / times, `${n} crossings`).toBeLessThan(0.98 + 0.018);
    }
  });

  it('is no wider than published practice allows (checks.md 7: 0.3 s spread, 25 events → ± 0.12 s)', () => {
    const units = crossings(made(3, 25, 1, 0, 0.3), true);
    const estimate = delayEstimate(['0'], units, (each) => each.delay, SHARP, 0.01);
    const reach = ((estimate?.high ?? 0) - (estimate?.low ?? 0)) / 2;
    /* A median is 1.25 times as uncertain as the mean of that arithmetic. */
    expect(reach).toBeGreaterThan(0.07);
    expect(reach).toBeLessThan(1.25 * 0.12 * 1.5);
  });

  it('never claims less than a tenth of T/√12 per edge: whole samples are summed, their phase hardly matters (checks.md 7)', () => {
    const units = Array.from({ length: 20 }, (_, k) => [edge('0', 100 * k, 2)]);
    const estimate = delayEstimate(['0'], units, (each) => each.delay, SHARP, 1);
    expect((estimate?.high ?? 0) - 2).toBeGreaterThanOrEqual((0.1 * 1.96 / Math.sqrt(12)) / Math.sqrt(20) - 1e-9);
  });

  it('counts sections of one crossing once', () => {
    expect(crossings(made(1, 12, 6, 0, 0.1), true)).toHaveLength(12);
  });
});

describe('a time or a distance', () => {
  const random = createRandom(4, 'speeds');
  const units = (delay: number, metres: number): readonly (readonly Edge[])[] => Array.from({ length: 60 }, (_, k) => {
    const speed = 1.4 + 1.2 * random.uniform();
    return [edge('0', 100 * k, delay + metres / speed + 0.05 * random.normal(), speed)];
  });

  it('finds the delay as slope and the distance as intercept', () => {
    const time = distanceFit(units(2.5, 0), 0, sectionTimingOptions);
    expect(time?.slope.value).toBeCloseTo(2.5, 1);
    expect(Math.abs(time?.intercept.value ?? 9)).toBeLessThan(0.3);
    const both = distanceFit(units(2, 1.5), 0, sectionTimingOptions);
    expect(both?.intercept.low).toBeLessThan(1.5);
    expect(both?.intercept.high).toBeGreaterThan(1.5);
    expect(both?.intercept.low).toBeGreaterThan(0.8);
  });

  it('says nothing at even speed', () => {
    expect(distanceFit(Array.from({ length: 60 }, (_, k) => [edge('0', 100 * k, 2)]), 0, sectionTimingOptions)).toBeUndefined();
  });
});

describe('guard band in metres', () => {
  const delay = (value: number, reach: number) => ({ value, low: value - reach, high: value + reach, n: 20, spread: 0.2 });
  it('acts beyond 2 m for certain only', () => {
    const limits = { goodMetres: 1, actMetres: 2 };
    expect(delayVerdict(delay(2.3, 0.1), 3.5, 2.2, limits)).toBe('act');
    expect(delayVerdict(delay(2.3, 0.5), 3.5, 2.2, limits)).toBe('watch');
    expect(delayVerdict(delay(2.3, 0.1), 2.4, 2.2, limits)).toBe('fine');
    expect(delayVerdict(delay(2.3, 0.6), 2.8, 2.2, limits)).toBe('open');
  });
});

describe('the response laid together', () => {
  /** Runs at 1 Hz, mean of each second, flowing from `on` with a first-order rise of `tau` s, falling from `off` likewise. */
  function section(edges: readonly { readonly time: number; readonly on: boolean }[], dead: number, tau: number, seed: number): SectionRuns {
    const random = createRandom(seed, 'response');
    const length = 4000;
    const fine = 20;
    const flow = new Float64Array(length * fine);
    let target = 0;
    let state = 0;
    let next = 0;
    for (let i = 0; i < flow.length; i++) {
      while (next < edges.length && i / fine >= (edges[next]?.time ?? 0) + dead) target = edges[next++]?.on === true ? 1 : 0;
      state += (target - state) * (1 - Math.exp(-1 / fine / tau));
      flow[i] = state;
    }
    const time = Float64Array.from({ length }, (_, k) => k);
    const value = Float64Array.from({ length }, (_, k) => {
      let sum = 0;
      for (let i = -fine / 2; i < fine / 2; i++) sum += flow[Math.max(0, k * fine + i)] as number;
      return random.counts((100 * sum) / fine, 1.5);
    });
    const run = { number: 1, time, value, interval: 1 };
    return { section: '0', outlets: 1, towers: [{ id: 'A', settling: 7, runs: [run, run, run] }] };
  }

  it('finds the half of a first-order step where theory puts it (checks.md 7: dead time 2.0 s, τ 0.4 s → 2.277 s)', () => {
    const random = createRandom(9, 'phases');
    const edges = Array.from({ length: 60 }, (_, k) => ({ time: 40 + 60 * k + random.uniform() + (k % 2) * 5, on: k % 2 === 0 }));
    const runs = section(edges, 2, 0.4, 5);
    /* Area of a first-order step: dead time + τ. */
    const list = edges.map(({ time, on }): Edge => ({ ...edge('0', time, 2.4), on }));
    for (const on of [true, false]) {
      const shape = responseShape([runs], list, on);
      expect(2.4 + shape.halfFlow, on ? 'ON' : 'OFF').toBeGreaterThan(2.277 - 0.08);
      expect(2.4 + shape.halfFlow, on ? 'ON' : 'OFF').toBeLessThan(2.277 + 0.16);
    }
  });

  it('sums whole samples only and refuses holes', () => {
    const samples = runSamples(1, { id: 'run.1.count', unit: '1/s', source: { file: 'test' }, time: Float64Array.from({ length: 40 }, (_, k) => k), value: Float64Array.from({ length: 40 }, (_, k) => (k === 30 ? Number.NaN : 10)) });
    const one = (): number => 1;
    expect(samples?.interval).toBe(1);
    const part = samples === undefined ? undefined : integrate(samples, 4.3, 9.3, one);
    expect(part?.seen).toBe(50);
    expect(part?.start).toBe(4.5);
    expect(part?.end).toBe(9.5);
    expect(samples === undefined ? 0 : integrate(samples, 27, 33, one)).toBeUndefined();
    expect(samples === undefined ? 0 : integrate(samples, 38, 45, one)).toBeUndefined();
  });
});
