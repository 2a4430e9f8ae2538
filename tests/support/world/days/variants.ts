import { rowHectares } from '../facts.ts';
import { WIDTH } from '../machine.ts';
import type { DayPlan } from '../plan.ts';
import { near } from '../truth.ts';
import { faultTruth, workHours, workday } from './workday.ts';

const CANOLA_AGENDA = { from: '08:00', to: '12:30', agenda: [
  { do: 'park', until: '08:25', fills: [{ tank: 4, mass: 600, at: '08:05', minutes: 6 }] },
  { do: 'seed', until: '12:25' },
  { do: 'park', until: '12:30' },
] } as const satisfies Pick<DayPlan, 'from' | 'to' | 'agenda'>;

/** One-parameter variants of scenarios.md. */
export const variants: readonly DayPlan[] = [
  workday({
    id: 'V1', title: 'Entered width 19.5 m', entered: { width: 19.5 },
    truth: faultTruth(() => [{ codes: ['coverage.width'], subject: 'field', measure: near(WIDTH / 19.5, 0.006), severityAtLeast: 'watch' }],
      [{ code: 'coverage\\.overlap' }, { code: 'rate\\.off-target', subject: 'tank\\.1' }], [{ code: 'speed\\..*' }, { code: 'scale\\..*' }], (facts) => ({ appliedKgPerHa: facts.dispensed(1) / facts.hectares() })),
  }),
  workday({
    id: 'V4', title: 'One of 24 wheel teeth lost', ...workHours(10),
    faults: [{ kind: 'wheel-factor', from: '13:00', factor: 23 / 24 }],
    truth: faultTruth((facts) => [{ codes: ['speed.calibration-shift', 'speed.pulses-missing'], subject: 'wheel', start: near(facts.at('13:00'), 300), measure: near(23 / 24, 0.007), severityAtLeast: 'watch' }],
      [{ code: 'speed\\.(calibration-off|slip)' }, { code: 'rate\\.off-target', subject: 'tank\\.1' }], [{ code: 'scale\\..*' }, { code: 'rate\\.mass.*' }]),
  }),
  workday({
    id: 'V5', title: 'Scale of tank 3 weighs 1.5 % too much',
    tanks: { 1: { crop: 'wheat', target: 120, seedGrams: 38, start: 0 }, 3: { crop: 'urea', target: 130, start: 0 } },
    agenda: [
      { do: 'park', until: '08:40', fills: [{ tank: 1, mass: 5900, at: '08:05', minutes: 12 }, { tank: 3, mass: 5000, at: '08:20', minutes: 11 }] },
      { do: 'seed', until: '11:10', hectares: 33 },
      { do: 'park', until: '11:45', fills: [{ tank: 1, mass: 3000, at: '11:16', minutes: 7 }, { tank: 3, mass: 4200, at: '11:28', minutes: 10 }] },
      { do: 'seed', until: '13:20' },
      { do: 'park', until: '13:30' },
    ],
    faults: [{ kind: 'scale-span', tank: 3, factor: 1.015 }],
    truth: faultTruth(() => [{ codes: ['scale.span-off'], subject: 'tank.3', measure: near(1.015, 0.006), severityAtLeast: 'info' }], [], [{ code: 'rate\\..*' }, { code: 'scale\\..*', subject: 'tank\\.1' }]),
  }),
  workday({
    id: 'V7', title: 'Run 9 plugged, alarm acknowledged',
    faults: [{ kind: 'run-loss', run: 9, from: '09:00', to: '11:00', loss: 1, fade: 2 }, { kind: 'alarm', run: 9, from: '09:00:05', to: '09:00:25' }],
    truth: faultTruth((facts) => {
      const areaHa = rowHectares(facts.rowMetres(9, facts.at('09:00'), facts.at('11:00')));
      return [{ codes: ['run.blocked'], subject: 'run.9', start: near(facts.at('09:00'), 10), end: near(facts.at('11:00'), 15), measure: near(0, 0.03), areaHa: near(areaHa, areaHa * 0.1), severityAtLeast: 'action' }];
    }, [], [{ code: 'tower\\..*' }, { code: 'run\\.sensor-.*' }]),
  }),
  workday({
    id: 'V9', title: 'Openers 0.9 m right of the antenna', entered: { trueRight: 0.9 },
    truth: faultTruth(() => [{ codes: ['geometry.offset-side'], subject: 'machine', measure: near(0.9, 0.15), severityAtLeast: 'watch' }], [{ code: 'coverage\\.(overlap|miss)' }], [{ code: 'coverage\\.width' }, { code: 'geometry\\.offset-aft' }]),
  }),
  workday({
    id: 'V12', title: 'Sensor of run 30 stuck at 61', ...CANOLA_AGENDA,
    tanks: { 4: { crop: 'canola', target: 5, seedGrams: 5, start: 0 } },
    faults: [{ kind: 'run-stuck', run: 30, value: 61 }],
    truth: faultTruth(() => [{ codes: ['run.sensor-stuck'], subject: 'run.30', severityAtLeast: 'watch' }], [], [{ code: 'run\\.(?!sensor-stuck).*', subject: 'run\\.30' }]),
  }),
  workday({
    id: 'V13', title: 'Target 134.5 for 120 kg/ha',
    tanks: { 1: { crop: 'wheat', target: 134.5, seedGrams: 38, start: 0 } }, entered: { jobSheet: { 1: 120 } },
    truth: faultTruth(() => [{ codes: ['rate.target-odd'], subject: 'tank.1', measure: near(134.5 / 120, 0.005), severityAtLeast: 'watch' }], [{ code: 'rate\\.off-target', subject: 'tank\\.1' }], [{ code: 'scale\\..*' }, { code: 'speed\\..*' }]),
  }),
  workday({
    id: 'V14', title: 'GNSS freezes twice',
    faults: [{ kind: 'gnss-freeze', from: '09:20:00', to: '09:20:35' }, { kind: 'gnss-freeze', from: '11:50:10', to: '11:50:45' }],
    truth: faultTruth((facts) => [{ codes: ['log.gnss-lost'], subject: 'gnss.*', start: near(facts.at('09:20'), 5), severityAtLeast: 'info' }], [{ code: 'log\\.gnss-lost' }], [{ code: 'speed\\..*' }, { code: 'coverage\\..*' }]),
  }),
];
