import type { DayPlan } from '../plan.ts';
import { near } from '../truth.ts';

/** Wheel constant entered 6 % low: the tank is empty before its hectares are done. */
export const s01: DayPlan = {
  id: 'S01', title: 'Ran out early (wheel constant low)',
  date: '2031-05-03', from: '07:20', to: '14:10',
  tanks: { 1: { crop: 'wheat', target: 120, seedGrams: 38, start: 0 } },
  entered: { wheelConstant: 18.8 },
  /* The constant of 20.00 already holds the mean slip of this field. */
  slip: { mean: 0, sd: 0.008, drive: 0.1 },
  agenda: [
    { do: 'park', until: '07:55', fills: [{ tank: 1, mass: 6000, at: '07:30', minutes: 12 }] },
    { do: 'road', until: '08:30', metres: 3000 },
    { do: 'seed', until: '11:59', hectares: 47 },
    { do: 'park', until: '12:20', fills: [{ tank: 1, mass: 3200, at: '12:05', minutes: 7 }] },
    { do: 'seed', until: '14:06', hectares: 23 },
    { do: 'park', until: '14:10', fans: true },
  ],
  faults: [{ kind: 'wheel-slip', from: '13:05', to: '13:40', mean: -0.03, sd: 0.01, drive: 0.11 }],
  truth: (facts) => ({
    clean: false,
    expected: [
      { codes: ['speed.calibration-off'], subject: 'wheel', measure: near(20 / 18.8, 0.005), severityAtLeast: 'action', massKg: near(facts.dispensed(1) - 120 * facts.hectares(), 120) },
    ],
    mustNot: [
      { code: 'rate\\..*' }, { code: 'scale\\..*' }, { code: 'coverage\\.width' }, { code: 'speed\\.calibration-shift' }, { code: 'speed\\.pulses-missing' }, { code: '(run|runs|tower|fan|section|geometry)\\..*' },
    ],
    may: [{ code: 'tank\\.ran-out', subject: 'tank.1' }, { code: 'speed\\.slip' }],
    exact: { wheelRatio: 20 / 18.8, areaHa: facts.hectares(), appliedKgPerHa: facts.dispensed(1) / facts.hectares(), counterAreaHa: facts.hectares() * (20 / 18.8), excessKg: facts.dispensed(1) - 120 * facts.hectares() },
  }),
};
