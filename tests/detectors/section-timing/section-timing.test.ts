import { sectionTiming } from '../../../src/detectors/section-timing/section-timing.ts';
import { testDetector } from '../../support/detector-tester.ts';
import type { Fault } from '../../support/world/faults.ts';
import { around, shortDay } from '../run-flow/short-day.ts';

/** Half flow of the synthetic drill: ON 2.36 s and OFF 2.66 s over its towers in wheat, 0.5 s between near and far. */
const HEADLANDS = { passLength: 200 };
const pointRows = (times: number, from?: string): readonly Fault[] => [1, 2, 3, 4, 5, 6].map((section) => ({ kind: 'section-off', section, times, shortest: 14, longest: 30, ...(from === undefined ? {} : { from }) }));
const near = (value: number | undefined, target: number, tolerance: number): boolean => value !== undefined && Math.abs(value - target) <= tolerance;
const unmet = (claims: Readonly<Record<string, boolean>>): readonly string[] => Object.entries(claims).flatMap(([claim, holds]) => (holds ? [] : [claim]));

testDetector(sectionTiming, {
  quiet: [
    { name: 'delays entered as they are', day: shortDay({ plan: { land: HEADLANDS } }), seeds: [1, 2], status: 'clean' },
    { name: 'thin canola with point rows and wavering speed', day: shortDay({ crop: 'canola', target: 2.6, seedGrams: 5.8, spread: 0.12, faults: pointRows(6), seed: { kmh: 6.7, wavering: 1.1 }, plan: { land: HEADLANDS } }) },
    { name: 'boundary at 30° to the passes', day: shortDay({ plan: { land: { ...HEADLANDS, boundaryAngle: Math.PI / 6 } } }) },
    { name: 'slow-downs after the command', day: shortDay({ seed: { slowExits: 10 }, plan: { land: HEADLANDS } }) },
    { name: 'hills', day: shortDay({ plan: { land: { ...HEADLANDS, grade: 0.12, side: 0.08 } } }) },
    { name: 'a plugged tower is not a stuck section', day: shortDay({ faults: [{ kind: 'tower-loss', tower: 4, left: 0, fade: 30, from: '08:40', to: '08:50' }] }) },
    { name: 'tank runs dry', day: shortDay({ start: 1500 }) },
    { name: 'too few crossings', day: shortDay({ hours: 0.5, plan: { land: { passLength: 780 } } }), status: 'too-little-data' },
    { name: 'a setup without sections', day: shortDay({}, (setup) => ({ ...setup, machine: { ...setup.machine, towers: [] } })), status: 'not-set-up' },
    { name: 'no delays entered', day: shortDay({ plan: { land: HEADLANDS } }, (setup) => ({ ...setup, machine: Object.assign({}, setup.machine, { delays: undefined }) })), status: 'clean' },
  ],
  loud: [
    {
      name: 'ON entered 1.2 s long', day: shortDay({ plan: { land: HEADLANDS, entered: { on: 3.5, off: 2.7 } }, seed: { wavering: 1 } }), seeds: [1, 2],
      code: 'section.delay-on', subject: 'all', severity: 'action', size: [2.2, 2.5],
      more: ({ measure, correction, consequence }, { measurements }) => unmet({
        'expects what is entered': measure?.expected === 3.5,
        'proposes the measured value': /^2\.[2345] s$/.test(correction?.new ?? ''),
        'counts double seeded hectares': (consequence?.areaHa ?? 0) > 0.1 && (consequence?.massKg ?? 0) > 10,
        'tells near from far towers, 2.12 and 2.62 s': near(measurements.find(({ name, subject }) => name === 'section.on-delay' && subject === 'tower.C')?.value, 2.12, 0.15) && near(measurements.find(({ name, subject }) => name === 'section.on-delay' && subject === 'tower.F')?.value, 2.62, 0.15),
      }),
    },
    {
      name: 'OFF entered 1.6 s short', day: shortDay({ plan: { land: HEADLANDS, entered: { on: 2.4, off: 1 } }, seed: { slowExits: 8 } }), code: 'section.delay-off', subject: 'all', severity: 'action', size: [2.51, 2.81],
      more: (_, { measurements }) => unmet({ 'measures ON too': near(measurements.find(({ name, subject }) => name === 'section.on-delay' && subject === 'all')?.value, 2.36, 0.15) }),
    },
    {
      name: 'clutch stays open for 20 min', day: shortDay({ faults: [{ kind: 'section-stuck', section: 2, on: false, from: '08:40', to: '09:00' }] }), code: 'section.stuck', subject: 'section.2', severity: 'action',
      start: around('08:40', 20), end: around('09:00', 20), more: ({ consequence }) => unmet({ 'counts the bare hectares': near(consequence?.areaHa, 0.72, 0.12) }),
    },
    { name: 'clutch stays engaged', day: shortDay({ faults: [{ kind: 'section-stuck', section: 3, on: true, from: '08:30' }, { kind: 'section-off', section: 3, times: 10, shortest: 12, longest: 25 }] }), code: 'section.stuck', subject: 'section.3' },
    { name: 'wires of two sections exchanged', day: shortDay({ faults: [...pointRows(5), { kind: 'section-crossed', sections: [2, 3] }] }), code: 'section.stuck', subject: 'section.2' },
  ],
});
