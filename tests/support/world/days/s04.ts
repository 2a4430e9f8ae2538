import type { DayPlan } from '../plan.ts';
import { near } from '../truth.ts';

/** A lighter, smaller seed lot from noon on, kg per turn not recalibrated. */
export const s04: DayPlan = {
  id: 'S04', title: 'New seed lot, no new calibration',
  date: '2031-05-05', from: '07:30', to: '16:10',
  tanks: { 1: { crop: 'wheat', target: 120, seedGrams: 38, start: 0 } },
  slip: { mean: 0, sd: 0.008, drive: 0.1 },
  weather: { airStart: 7, airEnd: 22, oilStart: 22 },
  agenda: [
    { do: 'park', until: '08:05', fills: [{ tank: 1, mass: 5980, at: '07:40', minutes: 12 }] },
    { do: 'seed', until: '12:25', hectares: 49 },
    { do: 'park', until: '12:50', fills: [{ tank: 1, mass: 5600, at: '12:35', minutes: 11 }] },
    { do: 'seed', until: '16:05', hectares: 43.2 },
    { do: 'park', until: '16:10' },
  ],
  faults: [
    { kind: 'mass-per-turn', tank: 1, from: '12:35', factor: 0.923, seedMass: 34e-6 },
    { kind: 'scale-offset', tank: 1, from: '12:35', kg: 12, ramp: 1800 },
  ],
  truth: (facts) => {
    const from = facts.at('12:35');
    const areaHa = facts.hectares(from);
    const short = facts.dispensed(1, from) - 120 * areaHa;
    return {
      clean: false,
      expected: [{
        codes: ['rate.mass-per-turn-step'], subject: 'tank.1', start: near(from, 1500), measure: near(0.923, 0.015),
        areaHa: near(areaHa, areaHa * 0.1), massKg: near(short, 60), severityAtLeast: 'action',
      }],
      mustNot: [{ code: 'scale\\..*' }, { code: 'tank\\..*' }, { code: '(run|runs|tower|speed|fan|section)\\..*' }],
      may: [{ code: 'rate\\.(off-target|mass-per-turn-drift)', subject: 'tank\\.1' }],
      exact: { areaHa: facts.hectares(), lot2AppliedKgPerHa: facts.dispensed(1, from) / areaHa, lot2SeedsPerM2: facts.dispensed(1, from) / areaHa / 34e-6 / 1e4, lot2AreaHa: areaHa, shortKg: short },
    };
  },
};
