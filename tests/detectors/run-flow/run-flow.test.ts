import { renderText } from '../../../shared/text.ts';
import { runFlow } from '../../../src/detectors/run-flow/run-flow.ts';
import { testDetector } from '../../support/detector-tester.ts';
import type { Fault } from '../../support/world/faults.ts';
import { around, at, shortDay } from './short-day.ts';

const pointRows: readonly Fault[] = [1, 2, 3, 4, 5, 6].map((section) => ({ kind: 'section-off', section, times: 6, shortest: 4, longest: 25 }));
const thinCanola = { crop: 'canola', target: 2.6, seedGrams: 5.8, spread: 0.12 } as const;
const canola = { crop: 'canola', target: 5, seedGrams: 5 } as const;
/** Claims that do not hold. */
const unmet = (claims: Readonly<Record<string, boolean>>): readonly string[] => Object.entries(claims).flatMap(([claim, holds]) => (holds ? [] : [claim]));
const between = (value: number | undefined, low: number, high: number): boolean => value !== undefined && value > low && value < high;
const read = (text: string): string => renderText(text, { units: 'metric', zone: 'UTC', dayStart: Date.UTC(2031, 4, 17, 8) / 1000 });

testDetector(runFlow, {
  quiet: [
    { name: 'plain wheat', day: shortDay({}), seeds: [1, 2], status: 'clean' },
    { name: 'thin canola, point rows, wavering speed, dust', day: shortDay({ ...thinCanola, faults: [...pointRows, { kind: 'dust', loss: 0.02 }], seed: { kmh: 6.7, wavering: 1.1 } }), seeds: [1, 2] },
    { name: 'canola, row-to-row 12 %', day: shortDay({ ...canola, spread: 0.12 }) },
    { name: 'peas at 5 km/h', day: shortDay({ crop: 'pea', target: 200, seedGrams: 220, seed: { kmh: 5 } }) },
    { name: 'hills and side slopes', day: shortDay({ plan: { land: { grade: 0.12, side: 0.08, contour: 6 } } }) },
    { name: 'a strip of another variety, −16 % for all', day: shortDay({ ...canola, faults: [{ kind: 'target', tank: 1, factor: 0.84, from: '08:40', to: '09:10' }] }) },
    { name: 'tank runs dry, another takes over after a sputter', day: shortDay({ plan: { tanks: { 1: { crop: 'wheat', target: 120, seedGrams: 38, start: 900, standIn: 4 }, 4: { crop: 'wheat', target: 120, seedGrams: 38, start: 850, waits: true } } } }) },
    { name: 'tank runs dry while seeding', day: shortDay({ start: 1500 }) },
    { name: 'gaps in both logs, single samples lost', day: shortDay({ faults: [{ kind: 'log-gap', file: 'cart', from: '08:30', to: '08:31:30' }, { kind: 'log-gap', file: 'tractor', from: '09:00', to: '09:00:40' }, { kind: 'samples-lost', every: 200 }] }) },
    { name: 'crossed section wires are not plugged towers', day: shortDay({ faults: [...pointRows, { kind: 'section-crossed', sections: [2, 3] }] }) },
    { name: 'a clutch that stays open is not a plugged tower', day: shortDay({ faults: [{ kind: 'section-stuck', section: 2, on: false, from: '08:40', to: '09:00' }] }) },
    { name: 'far towers low while the fan is slow', day: shortDay({ faults: [{ kind: 'fan-slow', fan: 1, rpm: 2850, warm: 2400 }] }) },
    { name: 'a run low all day by less than the drill\'s spread allows', day: shortDay({ ...thinCanola, faults: [{ kind: 'run-gain', run: 12, gain: 0.85 }] }), mayInform: ['run.restricted'] },
    { name: 'a blanked outlet is told once', day: shortDay({ faults: [{ kind: 'run-silent', runs: [19, 19], missing: false }] }), mayInform: ['run.sensor-silent'] },
    { name: 'a run set aside', day: shortDay({ faults: [{ kind: 'run-loss', run: 12, loss: 1, from: '08:30' }] }, (setup) => ({ ...setup, machine: { ...setup.machine, setAside: ['run.12'] } })), status: 'clean' },
    { name: 'a setup without towers', day: shortDay({ faults: pointRows }, (setup) => ({ ...setup, machine: { ...setup.machine, towers: [] } })) },
  ],
  loud: [
    {
      name: 'mud in an opener after backing up',
      day: shortDay({
        hours: 2.5, faults: [{ kind: 'run-loss', run: 47, loss: 1, fade: 3, from: '08:50:20', to: '09:40' }, { kind: 'section-off', section: 5, times: 5, shortest: 5, longest: 20, from: '09:10', to: '09:20' }],
        plan: { agenda: [{ do: 'park', until: '08:05' }, { do: 'seed', until: '08:46' }, { do: 'stuck', until: '08:50', back: 3 }, { do: 'seed', until: '10:28' }, { do: 'park', until: '10:30' }] },
      }),
      seeds: [1, 2], code: 'run.blocked', subject: 'run.47', severity: 'action', verdict: 'proved', size: [0, 0.02], start: around('08:50:20', 12), end: around('09:40', 30),
      /* 50 min at 8 km/h of one row, less turns: 0.30 m × some 6 km. */
      more: ({ explanation, places, consequence }) => unmet({
        'says it backed up': read(explanation).includes('backed up'),
        'says its wheels turned': read(explanation).includes('wheels turning'),
        'gives the mates\' rise, 11.1 % seen as some 9.7 %': /tower mates rose by (7|8|9|10|11|12)\./.test(read(explanation)),
        'maps the row': (places?.length ?? 0) > 2,
        'counts the hectares': between(consequence?.areaHa, 0.15, 0.22),
        'counts the seed': (consequence?.massKg ?? 0) < -15,
      }),
    },
    {
      name: 'kinked hose', day: shortDay({ ...canola, hours: 2.5, faults: [{ kind: 'run-loss', run: 33, loss: 0.35, from: '09:10' }, { kind: 'run-gain', run: 21, gain: 0.65, from: '08:20', to: '10:10', drift: 4800 }] }),
      seeds: [1, 2], code: 'run.restricted', subject: 'run.33', severity: 'action', verdict: 'proved', size: [0.61, 0.69], start: around('09:10', 30), beside: ['run.sensor-dirty'],
      more: (_, { findings }) => unmet({ 'proves the dirty sensor too': findings.some(({ subject, code, verdict }) => subject === 'run.21' && code === 'run.sensor-dirty' && verdict === 'proved') }),
    },
    {
      name: 'dirty sensor wiped later', day: shortDay({ ...canola, hours: 2.5, faults: [{ kind: 'run-gain', run: 21, gain: 0.65, from: '08:20', to: '10:00', drift: 4200 }] }),
      code: 'run.sensor-dirty', subject: 'run.21', severity: 'watch', verdict: 'consistent', size: [0.61, 0.7], start: around('08:25', 900), end: around('10:00', 240),
      more: ({ cannotTell, consequence }) => unmet({ 'names the limit of the test': cannotTell?.includes('own metered stream') === true, 'misses nothing in the ground': consequence?.massKg === undefined }),
    },
    {
      name: 'tower plugs with the fan slow',
      day: shortDay({
        target: 150, seedGrams: 40, faults: [{ kind: 'engine-slow', rpm: 1650, fanRpm: 3150, from: '09:00' }, { kind: 'tower-loss', tower: 6, left: 0, fade: 40, from: '09:04', to: '09:11' }, { kind: 'section-off', section: 6, times: 8, shortest: 5, longest: 20, from: '08:30', to: '08:50' }],
      }),
      seeds: [1, 2], code: 'tower.blocked', subject: 'tower.F', severity: 'action', size: [0, 0.08], start: around('09:04', 10), end: around('09:11', 30),
      more: ({ explanation, consequence, excludes }) => unmet({
        'names the slow fan': read(explanation).includes('The fan ran at'),
        'excludes single runs': excludes.join(' ').includes('Not single runs'),
        'counts the hectares': between(consequence?.areaHa, 0.2, 0.3),
      }),
    },
    { name: 'tower runs low for most of the log', day: shortDay({ faults: [{ kind: 'tower-loss', tower: 2, left: 0.8, fade: 60, from: '08:40' }] }), code: 'tower.low', subject: 'tower.B', severity: 'action', size: [0.76, 0.84], start: around('08:40', 60) },
    { name: 'sensor dies', day: shortDay({ faults: [{ kind: 'run-silent', runs: [17, 17], missing: false, from: '08:50' }] }), code: 'run.sensor-silent', subject: 'run.17', severity: 'watch', start: around('08:50', 15), more: ({ explanation }) => unmet({ 'says how it came': explanation.includes('from one sample to the next') }) },
    { name: 'sensor leaves the log', day: shortDay({ faults: [{ kind: 'run-silent', runs: [17, 17], missing: true, from: '08:50', to: '09:10' }] }), code: 'run.sensor-silent', subject: 'run.17', verdict: 'proved', start: around('08:50', 15), end: around('09:10', 30) },
    { name: 'sensor stuck near the usual value', day: shortDay({ ...canola, faults: [{ kind: 'run-stuck', run: 30, value: 61, from: '08:45' }] }), code: 'run.sensor-stuck', subject: 'run.30', size: [0.7, 1.4], start: around('08:45', 20) },
    { name: 'sensor counts vibration', day: shortDay({ faults: [{ kind: 'run-ghost', run: 40, rate: 20 }] }), code: 'run.sensor-stuck', subject: 'run.40', severity: 'watch' },
    { name: 'harness branch across two towers', day: shortDay({ faults: [{ kind: 'run-silent', runs: [25, 34], missing: false, from: '08:30', to: '08:35' }, { kind: 'run-silent', runs: [25, 34], missing: false, from: '09:15', to: '09:17' }] }), code: 'runs.dropout', subject: 'runs.25-34', start: around('08:30', 10), more: ({ episodes }) => unmet({ 'counts both': episodes.length === 2 }) },
    { name: 'a run that gets a third more', day: shortDay({ faults: [{ kind: 'run-loss', run: 22, loss: -0.35, fade: 1, from: '08:55' }] }), code: 'run.high', subject: 'run.22', severity: 'watch', size: [1.28, 1.42], start: around('08:55', 20) },
    {
      name: 'real blockage behind an acknowledged alarm', day: shortDay({ faults: [{ kind: 'run-loss', run: 9, loss: 1, from: '08:40', fade: 4 }, { kind: 'alarm', run: 9, from: '08:40:05', to: '08:40:25' }] }),
      code: 'run.blocked', subject: 'run.9', severity: 'action', start: around('08:40', 6), more: ({ explanation, title }) => unmet({
        'tells on and off': read(explanation).includes('came on at 08:40:05 and went off at 08:40:25'),
        'has a title to read': /^Run 9 has been blocked since 08:40:0\d$/.test(read(title)),
      }),
    },
    { name: 'blocked from the first metre, cleared later', day: shortDay({ ...canola, faults: [{ kind: 'run-loss', run: 9, loss: 1, to: '08:50' }] }), code: 'run.blocked', subject: 'run.9', severity: 'action', verdict: 'proved', start: [at('08:05'), at('08:07')], end: around('08:50', 30) },
    { name: 'short plug of a minute and a half in thin canola', day: shortDay({ ...thinCanola, faults: [{ kind: 'run-loss', run: 58, loss: 1, from: '09:00', to: '09:01:30' }] }), seeds: [3], code: 'run.blocked', subject: 'run.58', start: around('09:00', 15), end: around('09:01:30', 30) },
    { name: 'without towers in the setup: found, cause left open', day: shortDay({ faults: [{ kind: 'run-loss', run: 9, loss: 1, from: '08:40' }] }, (setup) => ({ ...setup, machine: { ...setup.machine, towers: [] } })), code: 'run.blocked', subject: 'run.9', verdict: 'cannot-tell', severity: 'action', start: around('08:40', 6) },
  ],
});
