import { SECTION_WIDTH } from '../machine.ts';
import type { DayPlan } from '../plan.ts';
import { near } from '../truth.ts';

/** Throttled back, the fan too slow for a heavy rate: tower F plugs, its primary packs. */
export const s10: DayPlan = {
  id: 'S10', title: 'Tower F plugs',
  date: '2031-05-10', from: '12:30', to: '18:00',
  tanks: { 1: { crop: 'wheat', target: 150, seedGrams: 40, start: 0 } },
  agenda: [
    { do: 'park', until: '13:30', fills: [{ tank: 1, mass: 5900, at: '12:35', minutes: 12 }] },
    { do: 'seed', until: '16:08:57' },
    { do: 'park', until: '16:40', fills: [{ tank: 1, mass: 2000, at: '16:25', minutes: 5 }] },
    { do: 'seed', until: '17:50' },
    { do: 'park', until: '18:00' },
  ],
  faults: [
    { kind: 'section-off', section: 6, from: '15:20', to: '15:31', times: 14, shortest: 4, longest: 9 },
    { kind: 'engine-slow', from: '15:58', to: '16:09', rpm: 1650, fanRpm: 3150 },
    { kind: 'tower-loss', tower: 6, from: '16:02:00', to: '16:09:30', left: 0, fade: 40, stall: 270 },
    { kind: 'pressure-loss', tank: 1, from: '16:02:20', to: '16:09:00', factor: 1.06, flow: 1 },
  ],
  truth: (facts) => {
    const from = facts.at('16:02:00');
    const to = facts.at('16:09:00');
    const areaHa = (facts.rowMetres(55, from, to) * SECTION_WIDTH) / 1e4;
    return {
      clean: false,
      expected: [{ codes: ['tower.blocked'], subject: 'tower.F', start: near(from, 15), end: near(to, 60), measure: near(0, 0.08), areaHa: near(areaHa, 0.03), severityAtLeast: 'action' }],
      mustNot: [{ code: 'run\\..*' }, { code: 'runs\\.dropout' }, { code: 'section\\..*' }, { code: 'tank\\.ran-out' }, { code: 'tower\\..*', subject: 'tower\\.(?!F).*' }, { code: 'scale\\..*' }],
      may: [{ code: 'fan\\.below-floor', subject: 'fan\\.1' }],
      exact: { areaHa: facts.hectares(), bareAreaHa: areaHa, packedKg: 25 },
    };
  },
};
