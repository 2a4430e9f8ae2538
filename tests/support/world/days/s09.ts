import { rowHectares } from '../facts.ts';
import type { DayPlan } from '../plan.ts';
import { near } from '../truth.ts';

/** One sensor gets dirty, one hose kinks: the tower mates tell which is which. */
export const s09: DayPlan = {
  id: 'S09', title: 'Dirty sensor and kinked hose, same day',
  date: '2031-05-09', from: '08:00', to: '17:30',
  tanks: { 4: { crop: 'canola', target: 5, seedGrams: 5, start: 0 } },
  agenda: [
    { do: 'park', until: '08:25', fills: [{ tank: 4, mass: 800, at: '08:05', minutes: 8 }] },
    { do: 'seed', until: '12:20' },
    { do: 'park', until: '12:45' },
    { do: 'seed', until: '15:02' },
    { do: 'park', until: '15:08' },
    { do: 'seed', until: '17:25' },
    { do: 'park', until: '17:30' },
  ],
  faults: [
    { kind: 'run-gain', run: 21, from: '10:00', to: '15:05', gain: 0.65, drift: 10_800 },
    { kind: 'run-loss', run: 33, from: '13:10', loss: 0.35, fade: 1 },
    { kind: 'target', tank: 4, from: '11:40', to: '12:20', factor: 0.84, prescribed: true },
    { kind: 'dust', loss: 0.015 },
  ],
  truth: (facts) => {
    const from = facts.at('13:10');
    const areaHa = rowHectares(facts.rowMetres(33, from, facts.at('17:25')));
    return {
      clean: false,
      expected: [
        { codes: ['run.sensor-dirty'], subject: 'run.21', start: near(facts.at('10:50'), 4500), end: near(facts.at('15:05'), 400), measure: near(0.7, 0.12), severityAtLeast: 'watch' },
        { codes: ['run.restricted'], subject: 'run.33', start: near(from, 60), measure: near(0.65, 0.04), areaHa: near(areaHa, areaHa * 0.1), severityAtLeast: 'action' },
      ],
      mustNot: [{ code: 'run\\.(restricted|blocked)', subject: 'run\\.21' }, { code: 'run\\.sensor-.*', subject: 'run\\.33' }, { code: 'tower\\..*' }, { code: 'rate\\..*' }, { code: 'run\\..*', subject: 'run\\.(?!21|33).*' }],
      may: [],
      exact: { areaHa: facts.hectares(), appliedKgPerHa: facts.dispensed(4) / facts.hectares(), run33RowHa: areaHa, mateRise: 0.35 / 9 },
    };
  },
};
