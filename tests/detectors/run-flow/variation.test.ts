import { describe, expect, it } from 'vitest';
import { runFlow } from '../../../src/detectors/run-flow/run-flow.ts';
import { runDetector } from '../../support/detector-tester.ts';
import { buildWorld, simulate } from '../../support/world/simulate.ts';
import { shortPlan, testDay } from './short-day.ts';

describe('row-to-row variation', () => {
  it.each([{ crop: 'wheat', target: 120, seedGrams: 38 }, { crop: 'canola', target: 2.6, seedGrams: 5.8, spread: 0.12 }] as const)('is that of the rows and sensors, without counting noise and dead time: $crop', (product) => {
    const plan = shortPlan({ ...product, hours: 1.5 });
    const { share, efficiency } = simulate(plan, 4).runs;
    const rows = Array.from(share, (part, run) => part * (efficiency[run] as number));
    const mean = rows.reduce((sum, row) => sum + row, 0) / rows.length;
    const planted = Math.sqrt(rows.reduce((sum, row) => sum + (row - mean) ** 2, 0) / (rows.length - 1)) / mean;
    const [measured] = runDetector(runFlow, testDay(buildWorld(plan, 4))).measurements;
    expect(measured).toMatchObject({ name: 'run.variation', subject: 'tank.1', unit: 'ratio', n: 60 });
    expect(Math.abs((measured?.value ?? 0) - planted)).toBeLessThan(0.003);
    /* trade.md e.3: 10 % of 60 runs is known to 8.5–12.2 %. */
    expect((measured?.low ?? 0) / (measured?.value ?? 1)).toBeCloseTo(0.848, 2);
    expect((measured?.high ?? 0) / (measured?.value ?? 1)).toBeCloseTo(1.22, 2);
  });
});
