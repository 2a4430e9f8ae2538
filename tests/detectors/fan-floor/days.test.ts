import { fanFloor } from '../../../src/detectors/fan-floor/fan-floor.ts';
import { testDetector, worldDay, type TestDay } from '../../support/detector-tester.ts';
import { scenario } from '../../support/world/scenario.ts';
import { fanTestDay, type FanTestDay } from './fan-day.ts';

const day = (changes: FanTestDay) => (seed: number): TestDay => fanTestDay(changes, seed);
const seeds = [1, 2];
/** −6 % for 40 s of every pass. */
const climbs = (time: number): number => (time % 385 > 200 && time % 385 < 240 ? 0.94 : 1);
const between = (from: number, to: number, inside: number, outside = 1) => (time: number): number => (time >= from && time < to ? inside : outside);
const warming = (time: number): number => 1 - 0.21 * Math.exp(-time / 700);

testDetector(fanFloor, {
  quiet: [
    { name: 'a plain day', day: day({}), seeds, status: 'clean' },
    { name: 'hills (C1)', day: (seed) => worldDay(scenario('C1').build(seed)), status: 'clean' },
    { name: 'tiny seed (C4)', day: (seed) => worldDay(scenario('C4').build(seed)), status: 'clean' },
    { name: 'climbs at −6 % for 40 s', day: day({ share: climbs }), seeds },
    { name: 'climbs at −6 % for 40 s, no floor entered', day: day({ share: climbs, floor: 0 }), seeds },
    { name: 'lift dips to −12.5 % for 2–4 s at every pass end', day: day({ floor: 3400 }), seeds },
    { name: 'one climb at 3,330 rpm for 25 s', day: day({ share: between(3000, 3025, 3330 / 3600) }), seeds },
    { name: 'five seconds far under the floor', day: day({ share: between(3000, 3005, 0.8) }), seeds },
    { name: 'stopped for fills and started again, 15 s run-down', day: day({ stops: [[2000, 2600], [5000, 5400]] }), seeds },
    { name: 'stopped for fills, no command logged', day: day({ stops: [[2000, 2600], [5000, 5400]], withTarget: false }), seeds },
    { name: 'slow while turning and standing only', day: day({ share: (time) => ((time - 120) % 385 >= 355 || time < 120 ? 0.8 : 1) }), seeds },
    { name: 'comes up while the first row begins', day: day({ stops: [[0, 118]], share: () => 1 }), seeds },
    { name: 'command raised for another product', day: day({ command: between(3600, 7200, 4000, 3600), share: between(3600, 7200, 4000 / 3600) }), seeds },
    { name: 'gentle waving of 1 %', day: day({ share: (time) => 1 + 0.01 * Math.sin((2 * Math.PI * time) / 8) }), seeds },
    { name: 'follows the load slowly, ±4 % in three minutes', day: day({ share: (time) => 1 + 0.04 * Math.sin((2 * Math.PI * time) / 180) }), seeds },
    { name: 'a few single wrong samples', day: day({ shown: (rpm, time) => ([1500, 3300, 4400].includes(time) ? 2 * rpm : rpm) }), seeds },
    { name: 'fan without any product', day: (seed) => ({ ...fanTestDay({ share: () => 0.5 }, seed), setup: { machine: { towers: [], tanks: [], meters: [], fans: [], setAside: [] }, job: { loads: [], products: [{ tank: '2', fan: '2' }] } } }), status: 'too-little-data' },
    { name: 'neither floor nor command', day: day({ floor: 0, withTarget: false }), status: 'not-set-up' },
  ],
  loud: [
    {
      name: 'S07 cold oil', day: (seed) => worldDay(scenario('S07').build(seed)), code: 'fan.below-floor', subject: 'fan.1', start: [540, 900], end: [1380, 1860], size: [2750, 2950], severity: 'watch', verdict: 'proved',
      more: ({ explanation, measure }) => [...(/oil was at/.test(explanation) ? [] : ['not tied to the oil']), ...(measure?.expected === 3200 ? [] : ['floor is not 3200'])],
    },
    { name: 'cold oil', day: day({ share: warming, oil: (time) => 275 + 25 * (1 - Math.exp(-time / 1200)) }), seeds, code: 'fan.below-floor', subject: 'fan.1', start: [100, 130], end: [400, 620], size: [2870, 3000], severity: 'watch', more: ({ explanation }) => (/oil was at/.test(explanation) ? [] : [explanation]) },
    { name: 'cold oil, temperature not logged', day: day({ share: warming }), code: 'fan.below-floor', subject: 'fan.1', more: ({ explanation }) => (/first start of the day/.test(explanation) ? [] : [explanation]) },
    {
      name: 'lugging uphill', day: day({ share: (time) => (time % 385 > 150 && time % 385 < 260 ? 0.86 : 1), engine: (time) => (time % 385 > 150 && time % 385 < 260 ? 1650 : 1900) }), seeds, code: 'fan.below-floor', subject: 'fan.1', size: [3020, 3120], severity: 'action', verdict: 'proved',
      more: ({ explanation, consequence, episodes }) => [...(/engine ran at/.test(explanation) ? [] : [explanation]), ...(Math.abs((consequence?.areaHa ?? 0) / (episodes.length * 110 * 2.22 * 18 / 1e4) - 1) < 0.1 ? [] : [`${consequence?.areaHa} ha in ${episodes.length} episodes`])],
    },
    { name: 'half-shut coupler from 3,600 s on', day: day({ share: between(3600, 9e9, 0.86), engine: () => 1900 }), seeds, code: 'fan.below-floor', subject: 'fan.1', start: [3595, 3610], end: [7000, 7200], size: [3020, 3120], severity: 'action', verdict: 'proved', more: ({ excludes }) => (excludes.some((text) => text.startsWith('Not the engine')) ? [] : ['engine not excluded']) },
    { name: 'the same without a pressure: the sensor is not excluded', day: day({ share: between(3600, 9e9, 0.86), withPressure: false }), code: 'fan.below-floor', subject: 'fan.1', verdict: 'consistent' },
    { name: 'no floor entered: the command stands in, and no more than watch', day: day({ share: between(3600, 9e9, 0.86), floor: 0 }), seeds, code: 'fan.below-floor', subject: 'fan.1', severity: 'watch', more: ({ measure, explanation }) => [...(measure?.expected === 3240 ? [] : [`floor ${measure?.expected}`]), ...(/No floor is entered/.test(explanation) ? [] : [explanation])] },
    { name: 'seeding on with the fan off', day: day({ forgotten: [3000, 3060] }), seeds, code: 'fan.below-floor', subject: 'fan.1', start: [3000, 3010], end: [3040, 3070], size: [0, 200] },
    { name: 'commanded too slow', day: day({ command: () => 3000, share: () => 3000 / 3600 }), code: 'fan.below-floor', subject: 'fan.1', more: ({ explanation }) => (/asked for/.test(explanation) ? [] : [explanation]) },
    { name: 'hunting ±5 % every 6 s, sampled at 1 Hz', day: day({ share: (time) => (time > 3000 && time < 4800 ? 1 + 0.05 * Math.sin((2 * Math.PI * time) / 6) : 1) }), seeds, code: 'fan.unsteady', subject: 'fan.1', start: [2940, 3120], end: [4680, 4860], size: [0.035, 0.06], verdict: 'proved', more: ({ explanation }) => (/faster swing looks slower/.test(explanation) ? [] : ['no word on sampling']) },
    { name: 'hunting ±5 % at 0.8 Hz, sampled at 5 Hz', day: day({ rate: 5, share: (time) => (time > 3000 && time < 4800 ? 1 + 0.06 * Math.sin(2 * Math.PI * 0.8 * time) : 1) }), code: 'fan.unsteady', subject: 'fan.1', start: [2940, 3120], end: [4680, 4860], more: ({ explanation }) => (/once every ‹duration\|1\.2/.test(explanation) ? [] : [explanation]) },
    { name: 'sensor counts double', day: day({ shown: (rpm, time) => (time >= 3000 ? 2 * rpm : rpm) }), seeds, code: 'fan.sensor-implausible', subject: 'fan.1', start: [2995, 3005], size: [1.95, 2.05], verdict: 'proved' },
    { name: 'sensor counts half for ten minutes', day: day({ shown: (rpm, time) => (time >= 3000 && time < 3600 ? rpm / 2 : rpm) }), seeds, code: 'fan.sensor-implausible', subject: 'fan.1', start: [2995, 3005], end: [3595, 3605], size: [0.45, 0.55], verdict: 'proved' },
    { name: 'sensor drops out for seconds', day: day({ shown: (rpm, time) => (time % 97 < 2 ? 0 : rpm) }), code: 'fan.sensor-implausible', subject: 'fan.1', verdict: 'proved' },
  ],
});
