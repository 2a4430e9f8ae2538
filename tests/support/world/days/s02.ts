import type { DayPlan } from '../plan.ts';
import { near } from '../truth.ts';

/** Starter tank zeroed at noon with 350 kg still in it. */
export const s02: DayPlan = {
  id: 'S02', title: 'Zeroed with product in the tank',
  date: '2031-05-04', from: '06:00', to: '16:40',
  tanks: { 1: { crop: 'wheat', target: 120, seedGrams: 38, start: 0 }, 2: { crop: 'starter', target: 60, start: 0 } },
  slip: { mean: 0, sd: 0.008, drive: 0.1 },
  weather: { airStart: 2, airEnd: 19, oilStart: 20 },
  agenda: [
    { do: 'park', until: '07:05', engine: false },
    { do: 'park', until: '08:05', fills: [{ tank: 2, mass: 3200, at: '07:20', minutes: 7 }, { tank: 1, mass: 5900, at: '07:35', minutes: 12 }] },
    { do: 'seed', until: '12:05', hectares: 47.5 },
    { do: 'park', until: '13:00', fills: [{ tank: 2, mass: 2800, at: '12:30', minutes: 6 }, { tank: 1, mass: 5750, at: '12:41', minutes: 12 }] },
    { do: 'seed', until: '16:38', hectares: 49.2 },
    { do: 'park', until: '16:40' },
  ],
  faults: [
    ...[1, 2, 3, 4].map((tank) => ({ kind: 'scale-offset' as const, tank, kg: tank === 2 ? -15 : -18, ramp: 3600 })),
    { kind: 'scale-zeroed', tank: 2, from: '07:10' },
    { kind: 'scale-zeroed', tank: 2, from: '12:18:20' },
  ],
  truth: (facts) => ({
    clean: false,
    /* The zero moved by what the scale showed, not by what was in the tank: it had wandered since the zero of 07:10. */
    expected: [{ codes: ['scale.zero-moved'], subject: 'tank.2', start: near(facts.at('12:18:20'), 5), measure: near(-facts.shown(2, facts.at('12:18:15')), 10), severityAtLeast: 'watch' }],
    mustNot: [{ code: 'rate\\..*' }, { code: 'scale\\.(cell-lost|span-off)' }, { code: 'tank\\.(ran-out|runs-on|bridged)' }, { code: '(run|runs|tower|speed|fan|section)\\..*' }, { code: 'scale\\..*', subject: 'tank\\.(1|3|4)' }],
    may: [],
    exact: { areaHa: facts.hectares(), tank2AppliedKgPerHa: facts.dispensed(2) / facts.hectares(), tank1AppliedKgPerHa: facts.dispensed(1) / facts.hectares() },
  }),
};
