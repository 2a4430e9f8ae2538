import { rowHectares } from '../facts.ts';
import type { DayPlan } from '../plan.ts';
import { near } from '../truth.ts';

/** One opener filled with mud while backing out of a wet hole. */
export const s08: DayPlan = {
  id: 'S08', title: 'Mud in opener 47',
  date: '2031-05-08', from: '07:40', to: '13:30',
  tanks: { 1: { crop: 'wheat', target: 120, seedGrams: 38, start: 0 } },
  agenda: [
    { do: 'park', until: '08:35', fills: [{ tank: 1, mass: 5900, at: '07:45', minutes: 11 }] },
    { do: 'seed', until: '10:38' },
    { do: 'stuck', until: '10:42:15', back: 3 },
    { do: 'seed', until: '11:58:05' },
    { do: 'park', until: '12:15', fills: [{ tank: 1, mass: 4000, at: '12:02', minutes: 8 }] },
    { do: 'seed', until: '13:25' },
    { do: 'park', until: '13:30' },
  ],
  faults: [
    { kind: 'run-loss', run: 47, from: '10:42:28', to: '11:58:05', loss: 1, fade: 3 },
    { kind: 'section-off', section: 5, from: '11:10', to: '11:16', times: 9, shortest: 5, longest: 20 },
    { kind: 'run-gain', run: 12, gain: 0.72 },
  ],
  truth: (facts) => {
    const from = facts.at('10:42:31');
    const to = facts.at('11:58:05');
    const areaHa = rowHectares(facts.rowMetres(47, from, to));
    return {
      clean: false,
      expected: [{ codes: ['run.blocked'], subject: 'run.47', start: near(from, 10), end: near(to, 75), measure: near(0, 0.03), areaHa: near(areaHa, areaHa * 0.1), severityAtLeast: 'action' }],
      mustNot: [{ code: 'tower\\..*' }, { code: 'run\\.sensor-.*', subject: 'run\\.47' }, { code: 'section\\..*' }, { code: 'speed\\.(calibration-.*|pulses-missing)' }, { code: 'run\\..*', subject: 'run\\.(?!47|12).*' }, { code: 'rate\\..*' }],
      may: [{ code: 'run\\.(restricted|sensor-dirty)', subject: 'run\\.12' }, { code: 'speed\\.slip' }],
      exact: { areaHa: facts.hectares(), appliedKgPerHa: facts.dispensed(1) / facts.hectares(), run47BareHa: areaHa, wheelRatio: 0.995, seedsPerM2: 316 },
    };
  },
};
