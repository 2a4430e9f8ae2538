import type { Finding } from '../../shared/finding.ts';
import { cleanTruth, c1, c4 } from '../support/world/days/clean.ts';
import { moreClean } from '../support/world/days/more-clean.ts';
import { workHours, workday } from '../support/world/days/workday.ts';
import type { Fault } from '../support/world/faults.ts';
import type { DayPlan } from '../support/world/plan.ts';

/*
 * npm run score -- --clean 50: machine-days on which nothing is wrong, a third each of hills (C1), of tiny seed (C4) and of harder ones
 * made up here. Asked: at most one `watch` or `action` in ten days.
 */

const WHEAT = { crop: 'wheat', target: 120, seedGrams: 38, start: 0 } as const;
const pointRows = (times: number): readonly Fault[] => [1, 2, 3, 4, 5, 6].map((section) => ({ kind: 'section-off' as const, section, times, shortest: 4, longest: 25 }));
const clean = (plan: Pick<DayPlan, 'id' | 'title'> & Partial<DayPlan>): DayPlan => workday({ truth: cleanTruth([1]), ...plan });

/** Nothing wrong, much that looks it. */
export const harderDays: readonly DayPlan[] = [
  clean({ id: 'K1', title: 'Fast on rough ground', ...workHours(8, { kmh: 9.5, wavering: 1 }), slip: { mean: -0.004, sd: 0.015, drive: 0.12 }, land: { grade: 0.06, side: 0.04, steering: 0.05 } }),
  clean({ id: 'K2', title: 'Slow, one scale twice as noisy', ...workHours(9, { kmh: 5.5 }), faults: [{ kind: 'scale-noise', tank: 1, factor: 2.2 }] }),
  clean({ id: 'K3', title: 'Many short passes and headlands', land: { headlandLaps: 2, passLength: 220, passesPerField: 20 }, faults: pointRows(8) }),
  clean({ id: 'K4', title: 'Thin canola on hills', tanks: { 4: { crop: 'canola', target: 3, seedGrams: 5, start: 800, spread: 0.12 } }, agenda: [{ do: 'park', until: '08:10' }, { do: 'seed', until: '13:20', kmh: 7.5, wavering: 1 }, { do: 'park', until: '13:30' }], land: { grade: 0.08, side: 0.05 }, faults: [...pointRows(10), { kind: 'dust', loss: 0.03 }], truth: cleanTruth([4]) }),
  clean({ id: 'K5', title: 'Slanting boundary, speed falling through the day', ...workHours(7, { kmh: 9, kmhEnd: 6 }), land: { boundaryAngle: Math.PI / 5, headlandLaps: 2, passLength: 350 } }),
  clean({ id: 'K6', title: 'Wheat and urea, scales noisy, samples lost', tanks: { 1: WHEAT, 3: { crop: 'urea', target: 60, start: 4800 } }, faults: [{ kind: 'scale-noise', tank: 3, factor: 1.8 }, { kind: 'samples-lost', every: 300 }] }),
  clean({ id: 'K7', title: 'Cold morning, prescribed rates, short stops', weather: { airStart: 0, airEnd: 14, oilStart: 45 }, agenda: [
    { do: 'park', until: '08:30', fills: [{ tank: 1, mass: 5900, at: '08:05', minutes: 12 }] },
    { do: 'seed', until: '09:15', wavering: 0.8 }, { do: 'pause', seconds: 20 }, { do: 'seed', until: '10:20', kmh: 7 }, { do: 'pause', seconds: 90 }, { do: 'seed', until: '11:10' },
    { do: 'park', until: '11:30', fills: [{ tank: 1, mass: 4000, at: '11:15', minutes: 8, ticketError: 8 }] },
    { do: 'seed', until: '13:20', wavering: 0.6 }, { do: 'park', until: '13:30' },
  ], faults: [{ kind: 'target', tank: 1, from: '10:00', to: '10:30', factor: 0.9, prescribed: true }, { kind: 'start-boost', tank: 1, factor: 1.2, seconds: 2 }] }),
  clean({ id: 'K8', title: 'Peas, tyre growing, fix going between kinds', tanks: { 1: { crop: 'pea', target: 200, seedGrams: 220, start: 0 } }, slip: { mean: -0.002, sd: 0.012, drive: 0.1 }, agenda: [
    { do: 'park', until: '08:30', fills: [{ tank: 1, mass: 5950, at: '08:05', minutes: 12 }] }, { do: 'seed', until: '10:35' },
    { do: 'park', until: '11:00', fills: [{ tank: 1, mass: 5300, at: '10:42', minutes: 11 }] }, { do: 'seed', until: '12:55' }, { do: 'park', until: '13:30' },
  ], faults: [{ kind: 'wheel-factor', from: '08:30', to: '10:35', factor: 1.005, last: 0.999 }, { kind: 'gnss-degraded', from: '09:40:00', to: '09:40:20', sd: 0.3 }] }),
];

/** Which day the `k`th is, and its seed. */
export function cleanDay(k: number): { readonly plan: DayPlan; readonly seed: number } {
  const others = [...harderDays, ...moreClean];
  const plan = k % 5 === 0 ? c1 : k % 5 === 1 ? c4 : others[(3 * Math.floor(k / 5) + (k % 5) - 2) % others.length];
  return { plan: plan ?? c1, seed: 101 + k };
}

/** Prints every finding above `info`; true when there are few enough. */
export async function printClean(days: number, judge: (plan: DayPlan, seed: number) => Promise<readonly Finding[]>): Promise<boolean> {
  let loud = 0;
  let remarks = 0;
  for (let k = 0; k < days; k++) {
    const { plan, seed } = cleanDay(k);
    const findings = await judge(plan, seed);
    const own = findings.filter(({ severity }) => severity !== 'info');
    loud += own.length;
    remarks += findings.length - own.length;
    console.log(`${own.length === 0 ? 'ok ' : 'NO '} ${plan.id.padEnd(4)} seed ${seed}  ${plan.title}${findings.length > own.length ? `  (info: ${findings.filter(({ severity }) => severity === 'info').map(({ code }) => code).join(', ')})` : ''}`);
    for (const { severity, code, subject, title } of own) console.log(`      ${severity} ${code} ${subject}: ${title}`);
  }
  const allowed = Math.floor(days / 10);
  console.log(`${loud} watch or action findings and ${remarks} remarks on ${days} clean machine-days; asked at most ${allowed}`);
  return loud <= allowed;
}
