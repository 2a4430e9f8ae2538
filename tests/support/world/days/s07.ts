import { rowHectares } from '../facts.ts';
import type { DayPlan } from '../plan.ts';
import { near } from '../truth.ts';

/** Early start with cold oil: the fan comes up slowly, and the farthest run of a far tower plugs. */
export const s07: DayPlan = {
  id: 'S07', title: 'Cold oil, slow fan, one plug',
  date: '2031-05-07', from: '06:30', to: '12:30',
  tanks: { 1: { crop: 'wheat', target: 120, seedGrams: 38, start: 5800 } },
  weather: { airStart: -1, airEnd: 11, oilStart: 4 },
  agenda: [
    { do: 'park', until: '06:40', engine: false },
    { do: 'seed', until: '07:31' },
    { do: 'park', until: '07:36' },
    { do: 'seed', until: '09:35' },
    { do: 'park', until: '09:55', fills: [{ tank: 1, mass: 3800, at: '09:40', minutes: 8 }] },
    { do: 'seed', until: '12:25' },
    { do: 'park', until: '12:30' },
  ],
  faults: [
    { kind: 'fan-slow', fan: 1, from: '06:40', to: '07:20', rpm: 2850, warm: 1600 },
    { kind: 'fan-slow', fan: 1, from: '10:15', to: '10:15:25', rpm: 3330 },
    { kind: 'run-loss', run: 58, from: '06:55:10', to: '07:31', loss: 1, fade: 4 },
  ],
  truth: (facts) => {
    const plug = facts.at('06:55:10');
    const clear = facts.at('07:31');
    const areaHa = rowHectares(facts.rowMetres(58, plug, clear));
    return {
      clean: false,
      expected: [
        { codes: ['fan.below-floor'], subject: 'fan.1', start: near(facts.at('06:42'), 180), end: near(facts.at('06:57'), 240), severityAtLeast: 'watch' },
        { codes: ['run.blocked'], subject: 'run.58', start: near(plug, 15), end: near(clear, 120), measure: near(0, 0.03), areaHa: near(areaHa, Math.max(0.015, areaHa * 0.1)), severityAtLeast: 'action' },
      ],
      mustNot: [{ code: 'fan\\.(sensor-implausible|unsteady)' }, { code: 'fan\\..*', subject: 'fan\\.2' }, { code: 'tower\\..*', subject: 'tower\\.(C|D)' }, { code: 'run\\..*', subject: 'run\\.(?!58).*' }, { code: '(rate|scale|speed|section)\\..*' }],
      may: [{ code: 'tower\\.low', subject: 'tower\\.(A|B|E|F)' }],
      exact: { areaHa: facts.hectares(), run58BareHa: areaHa },
    };
  },
};
