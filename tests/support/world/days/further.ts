import type { DayPlan } from '../plan.ts';
import { near } from '../truth.ts';
import { faultTruth, workHours, workday } from './workday.ts';

const WHEAT = { crop: 'wheat', target: 120, seedGrams: 38, start: 0 } as const;
const UREA = { crop: 'urea', target: 60, start: 4800 } as const;
const at10 = near(7200, 60);

/** One fault each, for codes that the story days do not show. */
export const further: readonly DayPlan[] = [
  workday({
    id: 'D-pulses', title: 'Wheel pulses drop out', faults: [{ kind: 'wheel-dropout', from: '10:00', to: '12:00', burst: 3, every: 60 }],
    truth: faultTruth(() => [{ codes: ['speed.pulses-missing'], subject: 'wheel', start: near(7200, 180), severityAtLeast: 'watch' }], [{ code: 'speed\\..*' }]),
  }),
  workday({
    id: 'D-slip', title: 'Cart wheel skids on wet ground', faults: [{ kind: 'wheel-slip', from: '10:00', to: '10:40', mean: -0.08, sd: 0.02, drive: 0.14 }],
    truth: faultTruth(() => [{ codes: ['speed.slip'], subject: 'wheel', start: near(7200, 180), end: near(9600, 180), measure: near(0.915, 0.02), severityAtLeast: 'info' }], [{ code: 'rate\\..*' }], [{ code: 'speed\\.calibration-.*' }]),
  }),
  workday({
    id: 'D-cell', title: 'One of four load cells lost', cells: [1], faults: [{ kind: 'cell-lost', tank: 1, from: '10:00', share: 0.76 }],
    truth: faultTruth(() => [{ codes: ['scale.cell-lost'], subject: 'tank.1', start: at10, measure: near(0.76, 0.04), severityAtLeast: 'watch' }], [{ code: 'scale\\..*', subject: 'tank\\.1' }], [{ code: 'rate\\..*' }, { code: 'tank\\..*' }]),
  }),
  workday({
    id: 'D-fan-hunts', title: 'Seed fan hunts', faults: [{ kind: 'fan-hunting', fan: 1, from: '10:00', to: '11:00', amplitude: 250, period: 7 }],
    truth: faultTruth(() => [{ codes: ['fan.unsteady'], subject: 'fan.1', start: near(7200, 120), severityAtLeast: 'watch' }], [{ code: 'fan\\.below-floor', subject: 'fan\\.1' }]),
  }),
  workday({
    id: 'D-fan-doubled', title: 'Fan sensor counts double', faults: [{ kind: 'fan-sensor', fan: 1, from: '10:00', factor: 2 }],
    truth: faultTruth(() => [{ codes: ['fan.sensor-implausible'], subject: 'fan.1', start: at10, severityAtLeast: 'watch' }]),
  }),
  workday({
    id: 'D-fan-low', title: 'Fertilizer fan slow after a coupler half shut', tanks: { 1: WHEAT, 3: UREA }, faults: [{ kind: 'fan-slow', fan: 2, from: '10:00', rpm: 3550 }],
    truth: faultTruth(() => [{ codes: ['fan.below-floor'], subject: 'fan.2', start: near(7200, 120), measure: near(3550, 60), severityAtLeast: 'watch' }]),
  }),
  workday({
    id: 'D-silent', title: 'Sensor of run 17 disconnected', faults: [{ kind: 'run-silent', runs: [17, 17], from: '10:00', missing: false }],
    truth: faultTruth(() => [{ codes: ['run.sensor-silent'], subject: 'run.17', start: near(7200, 15), severityAtLeast: 'watch' }], [], [{ code: 'run\\.blocked' }]),
  }),
  workday({
    id: 'D-branch', title: 'Harness branch drops out three times', faults: [
      { kind: 'run-silent', runs: [25, 34], from: '10:00', to: '10:00:40', missing: true },
      { kind: 'run-silent', runs: [25, 34], from: '10:31', to: '10:32:10', missing: true },
      { kind: 'run-silent', runs: [25, 34], from: '12:00', to: '12:06', missing: true },
    ],
    truth: faultTruth(() => [{ codes: ['runs.dropout'], subject: 'runs.25-34', start: near(7200, 15), severityAtLeast: 'watch' }], [], [{ code: 'run\\..*' }, { code: 'tower\\..*' }]),
  }),
  workday({
    id: 'D-run-high', title: 'Run 22 gets a third more', faults: [{ kind: 'run-loss', run: 22, from: '10:00', loss: -0.35, fade: 1 }],
    truth: faultTruth(() => [{ codes: ['run.high'], subject: 'run.22', start: near(7200, 60), measure: near(1.35, 0.08), severityAtLeast: 'info' }]),
  }),
  workday({
    id: 'D-tower-low', title: 'Air leak at the coupler of tower B', faults: [{ kind: 'tower-loss', tower: 2, from: '10:00', left: 0.8, fade: 60 }],
    truth: faultTruth(() => [{ codes: ['tower.low'], subject: 'tower.B', start: near(7200, 120), measure: near(0.82, 0.05), severityAtLeast: 'watch' }], [], [{ code: 'run\\..*' }]),
  }),
  workday({
    id: 'D-rate', title: 'Kg per turn entered 8 % high', tanks: { 1: { ...WHEAT, enteredFactor: 1.08 } },
    truth: faultTruth((facts) => [{ codes: ['rate.off-target'], subject: 'tank.1', measure: near(facts.dispensed(1) / facts.hectares() / 120, 0.015), severityAtLeast: 'action' }], [], [{ code: 'rate\\.mass.*' }, { code: 'speed\\..*' }]),
  }),
  workday({
    id: 'D-build-up', title: 'Kg per turn sags through the day', faults: [{ kind: 'mass-per-turn', tank: 1, from: '08:30', to: '13:30', factor: 0.88, drift: true }],
    truth: faultTruth(() => [{ codes: ['rate.mass-per-turn-drift', 'rate.mass-per-turn-step'], subject: 'tank.1', severityAtLeast: 'watch' }], [{ code: 'rate\\..*', subject: 'tank\\.1' }]),
  }),
  workday({
    id: 'D-ran-out', title: 'Tank empty, noticed six minutes later', from: '08:00', to: '12:30', agenda: [
      { do: 'park', until: '08:30', fills: [{ tank: 1, mass: 3600, at: '08:05', minutes: 8 }] },
      { do: 'seed', until: '10:48' },
      { do: 'park', until: '11:05', fills: [{ tank: 1, mass: 3000, at: '10:52', minutes: 7 }] },
      { do: 'seed', until: '12:20' },
      { do: 'park', until: '12:30' },
    ],
    truth: faultTruth((facts) => {
      const areaHa = facts.hectares(facts.dry(1), facts.at('10:48'));
      return [{ codes: ['tank.ran-out'], subject: 'tank.1', start: near(facts.dry(1), 20), areaHa: near(areaHa, Math.max(0.1, areaHa * 0.1)), severityAtLeast: 'action' }];
    }, [], [{ code: 'tower\\..*' }, { code: 'run\\..*' }, { code: 'tank\\.bridged' }]),
  }),
  workday({
    id: 'D-lid', title: 'Tank lid leaks after the fill', faults: [{ kind: 'pressure-loss', tank: 1, from: '11:15', factor: 0.45, flow: 0.9 }],
    truth: faultTruth(() => [{ codes: ['tank.pressure-low'], subject: 'tank.1', start: near(11_700, 900), measure: near(0.45, 0.06), severityAtLeast: 'watch' }], [{ code: 'rate\\..*', subject: 'tank\\.1' }]),
  }),
  workday({
    id: 'D-runs-on', title: 'Product trickles with the meter stopped', faults: [{ kind: 'runs-on', tank: 1, from: '09:00', flow: 0.12 }],
    truth: faultTruth(() => [{ codes: ['tank.runs-on'], subject: 'tank.1', severityAtLeast: 'watch' }], [{ code: 'rate\\..*', subject: 'tank\\.1' }]),
  }),
  workday({
    id: 'D-pressure-zero', title: 'Pressure gauge reads 600 Pa with the fans off', faults: [{ kind: 'pressure-zero', tank: 1, pascal: 600 }],
    truth: faultTruth(() => [{ codes: ['tank.pressure-zero-off'], subject: 'tank.1', measure: near(600, 60), severityAtLeast: 'info' }], [], [{ code: 'tank\\.pressure-low' }]),
  }),
  workday({
    id: 'D-crossed', title: 'Meter channels of tanks 1 and 3 exchanged', tanks: { 1: WHEAT, 3: { crop: 'urea', target: 60, start: 3900 } },
    agenda: [
      { do: 'park', until: '08:30', fills: [{ tank: 1, mass: 5900, at: '08:05', minutes: 12 }] },
      { do: 'seed', until: '11:10' },
      { do: 'park', until: '11:30', fills: [{ tank: 1, mass: 4000, at: '11:15', minutes: 8 }] },
      { do: 'seed', until: '13:20' },
      { do: 'park', until: '13:30' },
    ],
    faults: [{ kind: 'meter-crossed', tanks: [1, 3] }],
    truth: faultTruth(() => [{ codes: ['tank.meter-crossed'], subject: 'tank.1', severityAtLeast: 'watch' }], [{ code: 'tank\\.meter-crossed' }, { code: 'tank\\..*', subject: 'tank\\.3' }, { code: 'rate\\..*' }]),
  }),
  workday({
    id: 'D-stuck-on', title: 'Clutch of section 3 stays engaged', faults: [{ kind: 'section-stuck', section: 3, from: '10:00', on: true }, { kind: 'section-off', section: 3, times: 12, shortest: 8, longest: 20 }],
    truth: faultTruth(() => [{ codes: ['section.stuck'], subject: 'section.3', severityAtLeast: 'watch' }]),
  }),
  workday({
    id: 'D-stuck-off', title: 'Clutch of section 2 does not engage for 25 min', faults: [{ kind: 'section-stuck', section: 2, from: '10:00', to: '10:25', on: false }],
    truth: faultTruth(() => [{ codes: ['section.stuck'], subject: 'section.2', start: near(7200, 60), end: near(8700, 60), severityAtLeast: 'action' }], [{ code: 'tower\\.blocked', subject: 'tower\\.B' }], [{ code: 'run\\..*' }]),
  }),
  workday({
    id: 'D-overlap', title: 'Passes driven 0.7 m too close', land: { spacing: 17.588 },
    truth: faultTruth(() => [{ codes: ['coverage.overlap', 'coverage.width'], subject: 'field', severityAtLeast: 'watch' }], [{ code: 'coverage\\..*' }]),
  }),
  workday({
    id: 'D-miss', title: 'Passes driven 0.6 m too wide', land: { spacing: 18.888 },
    truth: faultTruth(() => [{ codes: ['coverage.miss', 'coverage.width'], subject: 'field', severityAtLeast: 'watch' }], [{ code: 'coverage\\..*' }]),
  }),
  workday({
    id: 'D-aft', title: 'Setup says the antenna is 4 m nearer the openers than the section control works with', ...workHours(8, { wavering: 1.2 }), entered: { aft: 5.2 }, land: { headlandLaps: 2, passLength: 390 },
    truth: faultTruth(() => [{ codes: ['geometry.offset-aft'], subject: 'machine', measure: near(9.2, 0.6), severityAtLeast: 'watch' }], [{ code: 'coverage\\..*' }, { code: 'section\\.delay.*' }]),
  }),
  workday({
    id: 'D-ghost', title: 'Sensor of run 40 counts vibration with the meter stopped', faults: [{ kind: 'run-ghost', run: 40, from: '09:00', rate: 25 }],
    truth: faultTruth(() => [{ codes: ['run.sensor-stuck', 'run.high'], subject: 'run.40', severityAtLeast: 'info' }], [{ code: 'run\\.high', subject: 'run\\.40' }]),
  }),
  workday({
    id: 'D-zero-up', title: 'Scale of tank 1 reads 220 kg more after lunch', faults: [{ kind: 'scale-offset', tank: 1, from: '11:25', kg: 220 }],
    truth: faultTruth(() => [{ codes: ['scale.zero-moved'], subject: 'tank.1', start: near(12_300, 60), measure: near(220, 25), severityAtLeast: 'watch' }], [], [{ code: 'rate\\..*' }]),
  }),
  workday({
    id: 'D-clock', title: 'Cart log 12 s behind', faults: [{ kind: 'clock', file: 'cart', offset: -12, driftPerHour: 0, zoneHours: 0 }],
    truth: faultTruth(() => [{ codes: ['log.clock-offset'], subject: 'cart.csv', severityAtLeast: 'info' }], [{ code: 'log\\.clock-offset' }], [{ code: 'section\\..*' }, { code: 'geometry\\..*' }, { code: 'speed\\..*' }]),
  }),
  workday({
    id: 'D-correction', title: 'Correction lost for 20 min: metres of wander', faults: [{ kind: 'gnss-degraded', from: '10:00', to: '10:20', sd: 1.2 }],
    truth: faultTruth(() => [{ codes: ['log.gnss-lost'], subject: 'gnss.*', start: near(7200, 10), end: near(8400, 10), severityAtLeast: 'info' }], [{ code: 'log\\.gnss-lost' }], [{ code: '(speed|coverage|geometry)\\..*' }]),
  }),
  workday({
    id: 'D-gap', title: 'Logs silent for five minutes', faults: [{ kind: 'log-gap', file: 'cart', from: '10:00', to: '10:05' }, { kind: 'log-gap', file: 'tractor', from: '10:00', to: '10:05' }],
    truth: faultTruth(() => [{ codes: ['log.gap'], subject: '(cart|day).*', start: near(7200, 5), end: near(7500, 5), measure: near(300, 5), severityAtLeast: 'info' }], [{ code: 'log\\.gap' }], [{ code: '(?!log).*' }]),
  }),
];
