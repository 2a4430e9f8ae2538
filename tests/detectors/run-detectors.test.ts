import { describe, expect, test } from 'vitest';
import type { Channel } from '../../shared/channel.ts';
import { emptySetup, type Setup } from '../../shared/setup.ts';
import { createChannelLookup, globMatcher } from '../../src/detectors/channel-lookup.ts';
import { defineDetector, type DetectorContext, type DetectorMeta, type DetectorOutcome, type FindingDraft } from '../../src/detectors/detector.ts';
import { runDetectors, type AnyDetector } from '../../src/detectors/run-detectors.ts';
import { createEpisodes } from '../../src/episodes/create-episodes.ts';
import { createTimeline } from '../../src/episodes/create-timeline.ts';
import { dayOf } from '../support/detector-tester.ts';

const meta: DetectorMeta<'hello'> = {
  id: 'test', title: 'test', codes: ['run.blocked', 'run.high'], requires: ['run.*.count'], messages: { hello: 'Run {run} at {place}.' },
  docs: { what: '', why: '', how: '', fooledBy: '', source: '' },
};
const detector = (detect: (context: DetectorContext<'hello', object>) => DetectorOutcome, changes: Partial<typeof meta> = {}): AnyDetector =>
  defineDetector({ meta: { ...meta, ...changes }, defaults: {}, detect });

const draft = (changes: Partial<FindingDraft> = {}): FindingDraft => ({
  code: 'run.blocked', subject: 'run.1', severity: 'watch', verdict: 'consistent', title: 'x', span: { start: 10, end: 20 }, episodes: [], explanation: 'x',
  excludes: [], decidingCheck: 'x', cautions: [], channels: ['run.1.count'], evidence: [{ kind: 'table', title: 'x', columns: [], rows: [] }], ...changes,
});

const channel = (id: string, value: readonly number[] = [1, 2]): Channel =>
  ({ id, unit: '1/s', source: { file: 'a.csv' }, time: Float64Array.from(value, (_, i) => i), value: Float64Array.from(value) });

function run(detectors: readonly AnyDetector[], channels: readonly Channel[] = [channel('run.1.count')], setAside: readonly string[] = []) {
  const setup: Setup = { ...emptySetup, machine: { ...emptySetup.machine, setAside } };
  const day = dayOf({ channels, duration: 100 });
  const timeline = createTimeline(day);
  return runDetectors({ day, setup, timeline, episodes: createEpisodes(day, setup, timeline), detectors });
}

describe('found nothing and could not look never mix', () => {
  test('nothing reported is clean', () => {
    expect(run([detector(() => ({ status: 'ran' }))]).checks).toMatchObject([{ detector: 'test', status: 'clean' }]);
  });
  test('a missing channel is named', () => {
    expect(run([detector(() => ({ status: 'ran' }))], []).checks[0]).toMatchObject({ status: 'not-logged', why: 'Needs run.N.count, which is not in the log.' });
  });
  test('one of several channels is enough', () => {
    const either = detector(() => ({ status: 'ran' }), { requires: ['wheel.speed|run.*.count'] });
    expect(run([either]).checks[0]?.status).toBe('clean');
    expect(run([either], []).checks[0]?.why).toBe('Needs wheel.speed or run.N.count, which are not in the log.');
  });
  test('a channel without a single value was not logged', () => {
    expect(run([detector(() => ({ status: 'ran' }))], [channel('run.1.count', [NaN, NaN])]).checks[0]?.status).toBe('not-logged');
  });
  test('what is set aside is not judged, and said so', () => {
    const { checks } = run([detector(() => ({ status: 'ran' }))], [channel('run.12.count')], ['run.12']);
    expect(checks[0]).toMatchObject({ status: 'not-logged', why: 'Needs run.N.count; the setup sets run.12.count aside.' });
  });
  test('too little data is handed on', () => {
    expect(run([detector(() => ({ status: 'too-little-data', why: 'Two more minutes.' }))]).checks[0]).toMatchObject({ status: 'too-little-data', why: 'Two more minutes.' });
  });
});

describe('a failing detector', () => {
  const failing = detector((context) => {
    context.report(draft());
    throw new Error('division by zero');
  });
  test('is reported as failed, its findings are dropped, the others go on', () => {
    const { checks, findings } = run([failing, detector((context) => {
      context.report(draft({ code: 'run.high' }));
      return { status: 'ran' };
    })]);
    expect(checks.map(({ status }) => status)).toEqual(['failed', 'found']);
    expect(checks[0]?.why).toContain('division by zero');
    expect(findings.map(({ code }) => code)).toEqual(['run.high']);
  });
  test.each([
    ['an empty slot', detector((context) => { context.say('hello', { run: '3' }); return { status: 'ran' }; }), 'needs a value for {place}'],
    ['a code of another detector', detector((context) => { context.report(draft({ code: 'fan.unsteady' })); return { status: 'ran' }; }), 'does not declare'],
    ['a finding without evidence', detector((context) => { context.report(draft({ evidence: [] })); return { status: 'ran' }; }), 'without evidence'],
    ['a number outside its own interval', detector((context) => { context.report(draft({ measure: { value: 1, low: 2, high: 3, unit: 'ratio' } })); return { status: 'ran' }; }), 'measure'],
  ])('%s is our bug', (_, wrong, why) => {
    expect(run([wrong]).checks[0]).toMatchObject({ status: 'failed' });
    expect(run([wrong]).checks[0]?.why).toContain(why);
  });
});

describe('findings', () => {
  const reporting = (...drafts: readonly FindingDraft[]) => detector((context) => { drafts.forEach(context.report); return { status: 'ran' }; });
  test('come gravest first, then by what they cost', () => {
    const { findings } = run([reporting(
      draft({ subject: 'run.1', severity: 'info' }), draft({ subject: 'run.2', consequence: { areaHa: 1, text: '' } }), draft({ subject: 'run.3', consequence: { areaHa: 3, text: '' } }), draft({ subject: 'run.4', severity: 'action' }),
    )]);
    expect(findings.map(({ subject }) => subject)).toEqual(['run.4', 'run.3', 'run.2', 'run.1']);
  });
  test('keep their id whatever else is found, and never share one', () => {
    const one = run([reporting(draft())]).findings;
    const three = run([reporting(draft({ severity: 'action', subject: 'run.9' }), draft(), draft())]).findings;
    expect(three.map(({ id }) => id)).toContain(one[0]?.id);
    expect(new Set(three.map(({ id }) => id)).size).toBe(3);
  });
});

test('channels come one per id, the most trusted, in the order of their numbers', () => {
  const lookup = createChannelLookup([channel('run.10.count'), channel('run.2.count', [5]), channel('run.2.count', [6]), channel('run.2.blocked')], []);
  expect(lookup.channels('run.*.count').map(({ id, value }) => [id, value[0]])).toEqual([['run.2.count', 5], ['run.10.count', 1]]);
});

test('a star stands for one part of a name', () => {
  expect(['run.1.count', 'run.1.x.count', 'runs.1.count', 'run.1.counts'].map(globMatcher('run.*.count'))).toEqual([true, false, false, false]);
});
