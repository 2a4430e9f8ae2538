import type { DayPlan } from '../plan.ts';
import { near } from '../truth.ts';

/** Urea hangs over the meter for a quarter of an hour. */
export const s06: DayPlan = {
  id: 'S06', title: 'Bridging urea',
  date: '2031-05-06', from: '10:30', to: '17:00',
  tanks: { 1: { crop: 'wheat', target: 120, seedGrams: 38, start: 5900 }, 3: { crop: 'urea', target: 130, start: 3470 } },
  slip: { mean: 0, sd: 0.008, drive: 0.1 },
  weather: { airStart: 12, airEnd: 18, oilStart: 35 },
  land: { side: 0.05 },
  agenda: [
    { do: 'park', until: '11:40' },
    { do: 'seed', until: '13:15' },
    { do: 'park', until: '13:45', fills: [{ tank: 3, mass: 3250, at: '13:25', minutes: 9 }] },
    { do: 'seed', until: '14:10' },
    { do: 'park', until: '14:20', fills: [{ tank: 1, mass: 1000, at: '14:12', minutes: 7, jolt: 40 }] },
    { do: 'seed', until: '15:34:08' },
    { do: 'park', until: '15:36', fans: true },
    { do: 'seed', until: '16:18' },
    { do: 'park', until: '17:00' },
  ],
  faults: [
    { kind: 'bridge', tank: 3, from: '15:20:10', to: '15:36:05', fade: 25, collapse: 1.6, collapseSeconds: 20 },
    { kind: 'level-switch', tank: 3, kg: 900 },
  ],
  truth: (facts) => {
    const from = facts.at('15:20:10');
    const to = facts.at('15:34:10');
    const areaHa = facts.hectares(from, to);
    return {
      clean: false,
      expected: [{ codes: ['tank.bridged'], subject: 'tank.3', start: near(from, 60), end: near(to, 130), areaHa: near(areaHa, areaHa * 0.1), massKg: near(facts.dispensed(3, from, to) - 130 * areaHa, 60), severityAtLeast: 'action' }],
      mustNot: [{ code: 'tank\\.ran-out' }, { code: 'scale\\..*' }, { code: '(run|runs|tower|fan|speed|section)\\..*' }, { code: 'rate\\..*', subject: 'tank\\.1' }],
      may: [{ code: 'rate\\..*', subject: 'tank\\.3' }],
      exact: { areaHa: facts.hectares(), bareAreaHa: areaHa, notAppliedKg: 130 * areaHa - facts.dispensed(3, from, to) },
    };
  },
};
