import { expect, it } from 'vitest';
import type { Channel } from '../../../shared/channel.ts';
import { logQuality } from '../../../src/detectors/log-quality/log-quality.ts';
import { counterResets } from '../../../src/detectors/log-quality/counter-resets.ts';
import { runDetectors } from '../../../src/detectors/run-detectors.ts';
import { createEpisodes } from '../../../src/episodes/create-episodes.ts';
import { createTimeline } from '../../../src/episodes/create-timeline.ts';
import { emptySetup } from '../../../shared/setup.ts';
import { dayOf, runDetector, testDetector, type TestDay } from '../../support/detector-tester.ts';
import type { Fault } from '../../support/world/faults.ts';
import { fieldDay, type FieldDay } from '../coverage/field-day.ts';

const day = (changes: FieldDay) => (seed: number): TestDay => fieldDay({ to: '10:00', ...changes }, seed);
const gap = (file: 'cart' | 'tractor', from: string, to: string): Fault => ({ kind: 'log-gap', file, from, to });
const within = (channel: Channel, start: number, end: number, value: number): Channel => ({ ...channel, value: channel.value.map((x, i) => ((channel.time[i] as number) >= start && (channel.time[i] as number) < end ? value : x)) });
const only = (id: RegExp, start: number, end: number, value: number) => (channel: Channel): Channel => (id.test(channel.id) ? within(channel, start, end, value) : channel);

testDetector(logQuality, {
  quiet: [
    { name: 'a plain day', day: day({}), seeds: [1, 2], status: 'clean' },
    { name: 'parked with the receiver repeating one position', day: day({ agenda: [{ do: 'park', until: '08:20' }, { do: 'seed', until: '10:00' }], faults: [{ kind: 'gnss-freeze', from: '08:02', to: '08:15' }] }) },
    { name: 'key off at noon: silent, parked, counters from zero', day: day({ agenda: [{ do: 'seed', until: '08:50' }, { do: 'park', until: '09:20', engine: false }, { do: 'seed', until: '10:00' }], faults: [gap('cart', '08:52', '09:18'), gap('tractor', '08:52', '09:19')] }) },
    { name: 'the tractor log ends before the cart log', day: day({ faults: [gap('tractor', '09:30', '10:01')] }) },
    { name: 'single samples lost', day: day({ faults: [{ kind: 'samples-lost', every: 100 }] }) },
    { name: 'a correction lost for 20 s', day: day({ faults: [{ kind: 'gnss-degraded', from: '09:00:00', to: '09:00:20', sd: 0.3 }] }) },
    { name: 'no correction all day: nothing was lost', day: day({ faults: [{ kind: 'gnss-degraded', sd: 0.4 }] }) },
    { name: 'uncorrected on the road, corrected in the field', day: day({ agenda: [{ do: 'road', until: '08:20', metres: 2000 }, { do: 'seed', until: '10:00' }], faults: [{ kind: 'gnss-degraded', from: '08:00', to: '08:19', sd: 0.4 }] }) },
    { name: 'fixed and float by turns', day: day({ change: (channel) => (channel.id === 'gnss.fix' ? { ...channel, value: channel.value.map((_, i) => (Math.floor(i / 90) % 3 === 0 ? 5 : 4)) } : channel) }) },
    { name: 'without GNSS', day: day({ logged: /^(?!gnss)/ }), status: 'clean' },
    { name: 'a stop of four minutes in the row, position rounded to a metre', day: day({ agenda: [{ do: 'seed', until: '08:50' }, { do: 'pause', seconds: 240 }, { do: 'seed', until: '10:00' }], change: (channel) => (/lat|lon/.test(channel.id) ? { ...channel, value: channel.value.map((x) => Math.round(x * 1e5) / 1e5) } : channel) }) },
    { name: 'nothing logged', day: () => ({ channels: [] }), status: 'not-logged' },
  ],
  loud: [
    {
      name: 'V14: the receiver freezes twice for 35 s', day: day({ faults: [{ kind: 'gnss-freeze', from: '08:40:00', to: '08:40:35' }, { kind: 'gnss-freeze', from: '09:30:10', to: '09:30:45' }] }), seeds: [1, 2, 3],
      code: 'log.gnss-lost', subject: 'gnss.speed', size: [68, 73], start: [2395, 2405], end: [5440, 5450], severity: 'info', verdict: 'proved',
      /* 70 s × 2.22 m/s × 18.288 m = 0.28 ha, by the wheel. */
      more: ({ consequence, places }) => [
        ...(Math.abs((consequence?.areaHa ?? 0) - 0.284) < 0.03 ? [] : [`area ${consequence?.areaHa}`]),
        ...(places?.length === 2 ? [] : [`${places?.length} places`]),
      ],
    },
    { name: 'no fix for a minute, said by the receiver', day: day({ change: only(/^gnss.fix$/, 3600, 3660, 0) }), code: 'log.gnss-lost', subject: 'gnss.fix', size: [50, 62], start: [3598, 3602] },
    { name: 'no position for a minute and a half, as not available', day: day({ change: only(/^gnss\.(lat|lon)$/, 3600, 3690, Number.NaN) }), code: 'log.gnss-lost', subject: 'gnss.lat', size: [88, 92] },
    { name: 'the correction lost for 20 min', day: day({ to: '11:00', faults: [{ kind: 'gnss-degraded', from: '09:00', to: '09:20', sd: 1.2 }] }), code: 'log.gnss-lost', subject: 'gnss.fix', start: [3590, 3610], end: [4790, 4810], severity: 'watch' },
    { name: 'dilution of 6 for five minutes, fix unchanged', day: day({ change: only(/^gnss.hdop$/, 3600, 3900, 6) }), code: 'log.gnss-lost', subject: 'gnss.hdop', start: [3598, 3610] },
    { name: 'the tractor log silent for 90 s', day: day({ faults: [gap('tractor', '09:00:00', '09:01:30')] }), code: 'log.gap', subject: 'tractor.csv', size: [89, 91], start: [3598, 3601], end: [3689, 3691], severity: 'info' },
    {
      name: 'the cart log silent for 5 min: the wheel counted on', day: day({ to: '11:00', faults: [gap('cart', '09:00', '09:05')] }), seeds: [1, 2], code: 'log.gap', subject: 'cart.csv', size: [299, 301],
      more: ({ consequence }) => (Math.abs((consequence?.areaHa ?? 0) - 1.15) < 0.15 ? [] : [`area ${consequence?.areaHa}`]),
    },
    {
      name: 'both logs silent together: one finding', day: day({ to: '11:00', faults: [gap('cart', '09:00', '09:05'), gap('tractor', '09:00', '09:05:04')] }), seeds: [1, 2], code: 'log.gap', subject: 'cart.csv', size: [299, 306], severity: 'watch',
      more: ({ title }, { findings }) => (title.includes('cart.csv and tractor.csv hold nothing') && findings.length === 1 ? [] : findings.map((each) => each.title)),
    },
    { name: 'the wheel alone silent for two minutes', day: day({ change: only(/^wheel/, 3600, 3720, Number.NaN) }), code: 'log.gap', subject: 'wheel', size: [119, 122] },
  ],
});

it('names the log whose clock was moved, zone and rest apart', () => {
  const test = fieldDay({ to: '08:30' }, 1);
  const base = dayOf(test);
  const log = { format: 'csv', sha256: '', start: 0, end: 0, records: 1, badRecords: 0, bytes: { total: 1, accepted: 1, rejected: 0, ignored: 0 }, bad: [], notes: [] };
  const logged = { ...base, logs: [{ ...log, file: 'tractor.csv', clockOffset: 0 }, { ...log, file: 'cart.csv', clockOffset: 6 * 3600 - 47 }, { ...log, file: 'third.csv', clockOffset: 12.3, clock: { offset: 12.4, low: 12.1, high: 12.7, driftPerHour: -1.8, driftLow: -2, driftHigh: -1.6, from: 'speed' as const, against: 'tractor.csv', n: 9, restarts: [] } }] };
  const timeline = createTimeline(logged);
  const { findings } = runDetectors({ day: logged, setup: emptySetup, timeline, episodes: createEpisodes(logged, emptySetup, timeline), detectors: [logQuality] });
  const clocks = findings.filter(({ code }) => code === 'log.clock-offset');
  expect(clocks.map(({ subject, severity, title }) => ({ subject, severity, title }))).toEqual([
    { subject: 'cart.csv', severity: 'info', title: 'The clock of cart.csv was moved by 6 h of time zone and −47.0 s to fit the day' },
    { subject: 'third.csv', severity: 'info', title: 'The clock of third.csv was moved by 12.3 s to fit the day' },
  ]);
  const measured = clocks.find(({ subject }) => subject === 'third.csv');
  expect(measured?.measure).toMatchObject({ value: 12.3, unit: 's', expected: 0 });
  expect(measured?.measure?.high).toBeCloseTo(12.6, 9);
  expect(measured?.explanation).toContain('With every hour −1.80 s more are added (−2.00 to −1.60)');
});

it('tells a clock that was set in mid-day, and places a log without one instead of moving it', () => {
  const base = dayOf(fieldDay({ to: '08:30' }, 1));
  const log = { format: 'csv', sha256: '', start: 1e9, end: 2e9, records: 1, badRecords: 0, bytes: { total: 1, accepted: 1, rejected: 0, ignored: 0 }, bad: [], notes: [] };
  const clock = { offset: 0, low: -0.2, high: 0.2, from: 'speed' as const, against: 'tractor.csv', n: 9, restarts: [] };
  const logged = { ...base, logs: [
    { ...log, file: 'tractor.csv', clockOffset: 0 },
    { ...log, file: 'cart.csv', clockOffset: 0, clock: { ...clock, restarts: [{ at: 1e9 + 600, offset: 90 }] } },
    { ...log, file: 'third.csv', start: Number.NaN, end: Number.NaN, clockOffset: 1.7e9, clock: { ...clock, offset: 1.7e9, low: 1.7e9 - 0.3, high: 1.7e9 + 0.3 } },
    { ...log, file: 'alone.csv', start: Number.NaN, end: Number.NaN, clockOffset: 1.7e9 },
  ] };
  const timeline = createTimeline(logged);
  const { findings } = runDetectors({ day: logged, setup: emptySetup, timeline, episodes: createEpisodes(logged, emptySetup, timeline), detectors: [logQuality] });
  expect(findings.map(({ subject, severity, title }) => ({ subject, severity, title }))).toEqual([
    { subject: 'cart.csv', severity: 'info', title: 'The clock of cart.csv was set once during the day, by up to 1 min 30 s' },
    { subject: 'third.csv', severity: 'info', title: 'third.csv has no wall clock; placed by what it shares with the other logs, to ± 0.3 s' },
  ]);
});

it('notes when counters began again, and not when a register went over its end', () => {
  const counter = (id: string, value: readonly number[]): Channel => ({ id, unit: 'count', source: { file: 'a' }, time: Float64Array.from(value, (_, i) => i), value: Float64Array.from(value) });
  expect(counterResets([counter('wheel.pulses', [500, 544, 0, 44]), counter('meter.1.turns', [100, 101, 102, 1]), counter('meter.2.turns', [65_500, 65_530, 24])]))
    .toEqual([{ time: 2, channels: ['wheel.pulses', 'meter.1.turns'] }]);
});

it('is quick on a long day', () => {
  const long = fieldDay({ from: '07:00', to: '17:00' }, 1);
  const started = performance.now();
  runDetector(logQuality, long);
  /* Half a second on an idle machine, episodes included; tests share theirs. */
  expect(performance.now() - started).toBeLessThan(4000);
});
