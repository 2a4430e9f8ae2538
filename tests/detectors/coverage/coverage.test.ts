import { expect, it } from 'vitest';
import type { Channel } from '../../../shared/channel.ts';
import { coverage } from '../../../src/detectors/coverage/coverage.ts';
import { runDetector, testDetector, worldDay, type TestDay } from '../../support/detector-tester.ts';
import { scenario } from '../../support/world/scenario.ts';
import { fieldDay, type FieldDay } from './field-day.ts';
import { lanesDay, upAndDown } from './lanes-day.ts';

const day = (changes: FieldDay) => (seed: number): TestDay => fieldDay(changes, seed);
const fixOf = (value: number) => (channel: Channel): Channel => (channel.id === 'gnss.fix' ? { ...channel, value: channel.value.map(() => value) } : channel);
const wavering = [{ do: 'seed', until: '11:00', wavering: 1.2 }] as const;
const evenly = (count: number, spacing: number): readonly number[] => Array.from({ length: count }, (_, i) => i * spacing);

testDetector(coverage, {
  quiet: [
    { name: 'a plain day', day: day({}), seeds: [1, 2], status: 'clean' },
    { name: 'contour passes on hills, spacing 18.0 to 18.6 m (C1)', day: (seed) => worldDay(scenario('C1').build(seed)) },
    { name: 'headland laps and an angled boundary', day: day({ land: { headlandLaps: 2, passLength: 420, boundaryAngle: Math.PI / 6 } }), status: 'clean' },
    { name: 'point rows: sections off for seconds', day: day({ faults: [1, 2, 3, 4, 5, 6].map((section) => ({ kind: 'section-off' as const, section, times: 14, shortest: 5, longest: 25 })) }) },
    { name: 'steered by hand, 15 cm', day: day({ land: { steering: 0.15 } }) },
    { name: 'GNSS alone all day, wandering by half a metre', day: day({ faults: [{ kind: 'gnss-degraded', sd: 0.5 }] }), seeds: [1, 2], status: 'too-little-data' },
    { name: 'the same, the receiver not telling its fix', day: day({ faults: [{ kind: 'gnss-degraded', sd: 0.8 }], logged: /^(?!gnss\.(fix|hdop))/ }), seeds: [1, 2] },
    { name: 'differential positions to 15 cm', day: day({ faults: [{ kind: 'gnss-degraded', sd: 0.15 }], change: fixOf(2) }) },
    { name: 'correction lost for 20 min', day: day({ faults: [{ kind: 'gnss-degraded', from: '09:00', to: '09:20', sd: 1.2 }] }) },
    { name: 'receiver frozen twice', day: day({ faults: [{ kind: 'gnss-freeze', from: '09:00:00', to: '09:00:35' }, { kind: 'gnss-freeze', from: '10:10:10', to: '10:10:45' }] }) },
    { name: 'holes of 4 to 8 s in the tractor\'s log', day: day({ faults: Array.from({ length: 40 }, (_, i) => ({ kind: 'log-gap' as const, file: 'tractor' as const, from: `${String(8 + Math.floor(i / 14)).padStart(2, '0')}:${String(6 + 4 * (i % 13)).padStart(2, '0')}:10`, to: `${String(8 + Math.floor(i / 14)).padStart(2, '0')}:${String(6 + 4 * (i % 13)).padStart(2, '0')}:${14 + (i % 5)}` })) }) },
    { name: 'the overlap that the setup wants', day: day({ land: { spacing: 17.988 }, machine: { intendedOverlap: { passes: 0.3, ends: 0 } } }), status: 'clean' },
    { name: 'a side offset that is entered', day: day({ entered: { trueRight: 0.9, right: 0.9 } }) },
    { name: 'changing speed, entered geometry right', day: day({ agenda: wavering }) },
    { name: 'a last pass of 7 m, one section', day: () => lanesDay({ lanes: upAndDown([...evenly(12, 18), 11 * 18 + 7], 400), machine: { workingWidth: 18, delays: { all: { on: 0, off: 0 }, tanks: new Map(), sections: new Map() } }, noise: 0.02 }) },
    { name: 'every second pass first, then those between', day: () => lanesDay({ lanes: upAndDown([...evenly(8, 36), ...evenly(7, 36).map((east) => east + 18)], 400), machine: { workingWidth: 18 }, noise: 0.02 }) },
    { name: 'a ditch of 5 m between two fields', day: () => lanesDay({ lanes: upAndDown([...evenly(6, 18), ...evenly(6, 18).map((east) => 5 * 18 + 23 + east).toReversed()], 500), machine: { workingWidth: 18 }, noise: 0.02 }) },
    { name: 'a section whose state is no longer sent: not known to be off', day: day({ change: (channel) => (channel.id === 'section.3.on' ? { ...channel, time: channel.time.slice(0, 4000), value: channel.value.slice(0, 4000) } : channel) }) },
    { name: 'one pass', day: () => lanesDay({ lanes: upAndDown([0], 600), machine: { workingWidth: 18 } }), status: 'too-little-data' },
    { name: 'road and yard only', day: day({ to: '09:00', agenda: [{ do: 'road', until: '08:40', metres: 3000 }, { do: 'park', until: '09:00' }] }), status: 'too-little-data' },
    { name: 'no width in the setup', day: day({ without: ['workingWidth', 'rowSpacing'] }), status: 'not-set-up' },
    { name: 'no positions', day: day({ logged: /^(?!gnss\.l)/ }), status: 'not-logged' },
    { name: 'noise of single samples lost', day: day({ faults: [{ kind: 'samples-lost', every: 60 }] }) },
  ],
  loud: [
    { name: 'V1: width entered 19.5 m, rows say 18.288', day: day({ entered: { width: 19.5 } }), seeds: [1, 2], code: 'coverage.width', subject: 'field', size: [0.9363, 0.9393], severity: 'action', verdict: 'consistent', more: ({ correction }) => (correction?.old === '19.500 m' && correction.new === '18.288 m' ? [] : [`${correction?.old} → ${correction?.new}`]) },
    { name: 'width entered 18.9 m, rows not entered', day: day({ entered: { width: 18.9 }, without: ['rowSpacing'] }), code: 'coverage.width', subject: 'field', size: [0.966, 0.969], severity: 'watch', verdict: 'consistent' },
    { name: 'passes 0.7 m too close', day: day({ land: { spacing: 17.588 } }), seeds: [1, 2], code: 'coverage.overlap', subject: 'field', size: [0.9, 1.5], severity: 'watch', verdict: 'proved', more: ({ places }) => (places !== undefined && places.length > 10 ? [] : ['no places']) },
    { name: 'passes 1.3 m too close', day: day({ land: { spacing: 16.988 } }), code: 'coverage.overlap', subject: 'field', severity: 'action' },
    { name: 'passes 0.6 m too wide', day: day({ land: { spacing: 18.888 } }), code: 'coverage.miss', subject: 'field', size: [0.8, 1.3], severity: 'watch' },
    { name: 'V9: openers 0.9 m right of the antenna', day: day({ entered: { trueRight: 0.9 } }), seeds: [1, 2], code: 'geometry.offset-side', subject: 'machine', size: [0.88, 0.92], severity: 'watch', verdict: 'consistent', more: ({ correction }) => (correction?.old === '0.00 m' && /^0\.(89|9[01]) m$/.test(correction.new) ? [] : [`${correction?.old} → ${correction?.new}`]) },
    { name: 'openers 0.5 m left, 0.3 m right entered', day: day({ entered: { trueRight: -0.5, right: 0.3 } }), code: 'geometry.offset-side', subject: 'machine', size: [-0.52, -0.48] },
    { name: 'the section control works with 9.2 m, the setup says 5.2 m', day: day({ agenda: [{ do: 'seed', until: '13:00', wavering: 1.2 }], to: '13:00', machine: { antennaToOpeners: { aft: 5.2, right: 0 } } }), seeds: [1, 2], code: 'geometry.offset-aft', subject: 'machine', size: [8.9, 9.5], severity: 'action', verdict: 'consistent', beside: ['coverage.overlap', 'coverage.miss'] },
    { name: 'one section left off for five minutes', day: day({ faults: [{ kind: 'section-off', section: 2, times: 1, shortest: 240, longest: 300 }] }), seeds: [1, 2], code: 'coverage.miss', subject: 'field', size: [0.13, 0.22], severity: 'watch', verdict: 'cannot-tell' },
    { name: 'product reaches the headland laps at every end: delays entered are not those it switches by', day: day({ land: { headlandLaps: 2, passLength: 150 }, entered: { on: 4.4, off: 0.7 }, machine: { delays: { all: { on: 2.4, off: 2.7 }, tanks: new Map(), sections: new Map() } } }), code: 'coverage.overlap', subject: 'field', severity: 'watch', verdict: 'consistent' },
  ],
});

it('leaves what a side offset makes of the map to that finding, and says so in the areas', () => {
  const { findings, measurements } = runDetector(coverage, fieldDay({ entered: { trueRight: 0.9 } }, 4));
  expect(findings.map(({ code }) => code)).toEqual(['geometry.offset-side']);
  const overlap = measurements.find(({ name }) => name === 'area.overlap');
  expect(overlap?.low).toBe(0);
  expect(overlap?.high).toBeGreaterThan(1);
});

it('is quick on a day of ten hours', () => {
  const long = fieldDay({ from: '07:00', to: '17:00' }, 1);
  runDetector(coverage, fieldDay({ to: '08:30' }, 1));
  const used = process.cpuUsage();
  runDetector(coverage, long);
  const { user, system } = process.cpuUsage(used);
  /* Half a second on an idle machine with the episodes; many tests at once take several times that. */
  expect((user + system) / 1e6).toBeLessThan(3);
});
