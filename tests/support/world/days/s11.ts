import { WIDTH } from '../machine.ts';
import type { DayPlan } from '../plan.ts';
import { near } from '../truth.ts';

/** Delays entered 1.2 s too long (ON) and 1.6 s too short (OFF): double seed at every headland. */
export const s11: DayPlan = {
  id: 'S11', title: 'ON/OFF delays wrong',
  date: '2031-05-11', from: '07:20', to: '15:20',
  tanks: { 1: { crop: 'wheat', target: 120, seedGrams: 38, start: 0 } },
  entered: { on: 3.5, off: 1 },
  land: { headlandLaps: 2, passesPerField: 92, passLength: 390, boundaryAngle: Math.PI / 6, angledPasses: 18 },
  agenda: [
    { do: 'park', until: '08:00', fills: [{ tank: 1, mass: 5950, at: '07:30', minutes: 12 }] },
    { do: 'seed', until: '11:20', slowExits: 10 },
    { do: 'park', until: '11:50', fills: [{ tank: 1, mass: 5100, at: '11:27', minutes: 11 }] },
    { do: 'seed', until: '15:15', hectares: 45.5, slowExits: 10 },
    { do: 'park', until: '15:20', fans: true },
  ],
  truth: (facts) => {
    const entries = facts.entries();
    const overlapHa = (entries * WIDTH * (8 / 3.6) * (1.2 + 1.6)) / 1e4;
    return {
      clean: false,
      expected: [
        { codes: ['section.delay-on'], subject: 'all', measure: near(2.33, 0.15), severityAtLeast: 'watch' },
        { codes: ['section.delay-off'], subject: 'all', measure: near(2.63, 0.2), severityAtLeast: 'watch' },
      ],
      mustNot: [{ code: 'geometry\\..*' }, { code: 'log\\.gnss-lost' }, { code: 'coverage\\.(width|miss)' }, { code: '(run|runs|tower|rate|scale|speed|fan)\\..*' }],
      may: [{ code: 'coverage\\.overlap', subject: 'field' }, { code: 'section\\.delay-(on|off)', subject: 'section\\..*' }],
      exact: { areaHa: facts.hectares(), entries, overlapHa, overlapKg: overlapHa * 120, onDelay: 2.33, offDelay: 2.63, towerSpread: 0.5 },
    };
  },
};
