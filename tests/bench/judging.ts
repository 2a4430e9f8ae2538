import { parseSetup } from '../../shared/setup-file.ts';
import { analyse } from '../../src/analyse.ts';
import type { DayPlan } from '../support/world/plan.ts';
import { buildWorld } from '../support/world/simulate.ts';
import { row, type BenchRow } from './reading.ts';

const TIMES = 5;
const MOST = 3;

/** Ten hours of wheat and urea with single load cells and attitude logged; one run restricted from noon on. */
const day: DayPlan = {
  id: 'bench', title: 'A long day', date: '2031-05-17', from: '07:00', to: '17:00', cells: [1, 3], attitude: true,
  tanks: { 1: { crop: 'wheat', target: 120, seedGrams: 38, start: 0 }, 3: { crop: 'urea', target: 40, start: 4800 } },
  agenda: [
    { do: 'park', until: '07:30', fills: [{ tank: 1, mass: 5900, at: '07:05', minutes: 12 }] }, { do: 'seed', until: '10:40' },
    { do: 'park', until: '11:00', fills: [{ tank: 1, mass: 5000, at: '10:45', minutes: 9 }] }, { do: 'seed', until: '13:50' },
    { do: 'park', until: '14:10', fills: [{ tank: 1, mass: 5000, at: '13:55', minutes: 9 }] }, { do: 'seed', until: '16:50' }, { do: 'park', until: '17:00' },
  ],
  faults: [{ kind: 'run-loss', run: 33, from: '13:10', loss: 0.35, fade: 1 }],
  truth: () => ({ clean: false, expected: [], mustNot: [], may: [], exact: {} }),
};

/** A full day from channels to findings, s of wall time: the first time, while the code is still being compiled, and the best of some. */
export function judgingBench(): readonly BenchRow[] {
  const world = buildWorld(day, 1);
  const { setup } = parseSetup(world.setup);
  const seconds = Array.from({ length: TIMES }, () => {
    const before = performance.now();
    const { findings } = analyse({ start: world.dayStart, duration: world.duration, channels: world.channels, logs: [], messages: [], gaps: [] }, setup);
    if (!findings.some(({ subject }) => subject === 'run.33')) throw new Error('run 33 was not found');
    return (performance.now() - before) / 1000;
  });
  const best = Math.min(...seconds);
  const what = `judging ${world.duration.toLocaleString('en')} s × ${world.channels.length} channels`;
  return [row(what, `${best.toFixed(2)} s`, `≤ ${MOST} s`, best <= MOST), row(`${what}, first time`, `${(seconds[0] as number).toFixed(2)} s`, '', true)];
}
