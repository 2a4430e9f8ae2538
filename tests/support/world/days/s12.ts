import type { DayPlan } from '../plan.ts';

/** The cart's log runs in local time and 47 s ahead, gaining; two tanks of wheat hand over. */
export const s12: DayPlan = {
  id: 'S12', title: 'Clock skew and two-tank hand-over',
  date: '2031-05-12', from: '08:00', to: '17:00',
  tanks: { 1: { crop: 'wheat', target: 120, seedGrams: 38, start: 5430, standIn: 4 }, 4: { crop: 'wheat', target: 120, seedGrams: 38, start: 850, waits: true } },
  agenda: [
    { do: 'park', until: '08:05', fans: true },
    { do: 'seed', until: '11:58:30' },
    { do: 'park', until: '12:30', fills: [{ tank: 1, mass: 5900, at: '12:05', minutes: 12 }] },
    { do: 'seed', until: '15:50' },
    { do: 'park', until: '16:00' },
    { do: 'road', until: '16:20', metres: 2500 },
    { do: 'park', until: '17:00' },
  ],
  faults: [
    { kind: 'clock', file: 'cart', offset: 47, driftPerHour: 1.8, zoneHours: -6 },
    { kind: 'log-gap', file: 'tractor', from: '09:15:10', to: '09:15:30' },
    { kind: 'log-gap', file: 'tractor', from: '10:41:00', to: '10:42:30' },
    { kind: 'log-gap', file: 'tractor', from: '14:20:00', to: '14:20:45' },
  ],
  truth: (facts) => ({
    clean: false,
    /* The zone is a whole number of hours beside the 47 s; either sign convention of it is left to the text. */
    expected: [{ codes: ['log.clock-offset'], subject: 'cart.csv', severityAtLeast: 'info' }],
    mustNot: [{ code: 'rate\\..*' }, { code: 'section\\..*' }, { code: 'geometry\\..*' }, { code: 'coverage\\.miss' }, { code: '(run|runs|tower|scale|speed|fan)\\..*' }, { code: 'tank\\.(bridged|runs-on|meter-crossed)' }],
    may: [{ code: 'log\\.gap' }, { code: 'tank\\.ran-out', subject: 'tank\\.(1|4)' }, { code: 'log\\.clock-offset' }],
    exact: {
      areaHa: facts.hectares(), appliedKgPerHa: (facts.dispensed(1) + facts.dispensed(4)) / facts.hectares(), handOver: facts.dry(1), clockOffset: 47, clockDriftPerHour: 1.8, zoneHours: -6,
    },
  }),
};
