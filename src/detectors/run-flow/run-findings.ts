import type { Consequence, FindingCode, Severity, Verdict } from '../../../shared/finding.ts';
import type { Interval } from '../../../shared/span.ts';
import { formatNumber, quantity } from '../../../shared/text.ts';
import { cautions } from '../cautions.ts';
import type { FindingDraft } from '../detector.ts';
import { fieldCost } from './cost.ts';
import { matesTable, runsPicture, runTrace, towerName, windowAround } from './evidence.ts';
import type { RunFlowMessage } from './messages.ts';
import { flagSentence, precursors } from './precursors.ts';
import { rowPlaces } from './row-places.ts';
import type { RunCase } from './run-cases.ts';
import { medianOfPositive } from './typed-median.ts';
import { NOTHING, percent, runSubject, towerChannels, wholeNumber, type Story } from './story.ts';

interface Judgement {
  readonly code: FindingCode;
  readonly verdict: Verdict;
  readonly severity: Severity;
  /** What it is about: flow that is missing in the ground, a sensor, or either. */
  readonly about: 'flow' | 'sensor' | 'either';
}

/** One finding per case. `cases` are all of the day: one proven loss shows that this machine shares flow between mates. */
export function runFinding(story: Story, one: RunCase, cases: readonly RunCase[]): FindingDraft {
  if (one.kind === 'stuck') return stuckFinding(story, one);
  if (one.kind === 'missing') return missingFinding(story, one);
  const proof = cases.find((other) => other.number !== one.number && other.test.verdict === 'flow' && other.kind !== 'stuck' && other.kind !== 'missing');
  const judgement = judged(story, one, proof !== undefined);
  const { say } = story.context;
  const first = one.episodes[0] ?? { start: 0, end: 0, from: 0, to: 0 };
  const span = { start: first.start, end: one.episodes.at(-1)?.end ?? first.end };
  const { ratio } = one;
  const counts = one.episodes.reduce((sum, episode) => sum + episode.counts, 0);
  const due = one.episodes.reduce((sum, episode) => sum + episode.expected, 0);
  const slots = {
    run: String(one.number), start: quantity.clock(span.start), end: quantity.clock(span.end), judged: quantity.duration(one.judgedSeconds),
    seen: wholeNumber(counts), due: wholeNumber(due), times: String(one.episodes.length), size: percent(Math.abs(1 - ratio.value)),
    share: percent(ratio.value), low: percent(ratio.low), high: percent(ratio.high), tower: towerName(story, one.tower),
  };
  const left = ratio.high < NOTHING ? say('leftNothing') : say('leftShare', slots);
  const explanation = [
    say(one.kind === 'high' ? 'highWhy' : one.shape.kind === 'slow' ? 'slowWhy' : 'lowWhy', { ...slots, left }),
    matesSentence(story, one),
    ...(judgement.code === 'run.sensor-dirty' && proof !== undefined ? [say('matesSplit', { other: String(proof.number) })] : []),
    ...(one.kind === 'blocked' && one.shape.kind === 'sudden' ? [say(one.shape.atOnce ? 'cameAtOnce' : 'cameOver')] : []),
    ...(judgement.about === 'sensor' ? [] : precursors(story, one.tower, span.start)),
    ...flagSentence(story, one.number, one.episodes),
    ...(one.recovered ? [say('recovered', slots)] : []),
  ].join(' ');
  const picture = windowAround(story, span);
  const rows = judgement.about === 'sensor' ? undefined : rowPlaces(story.context, story.log, {
    tower: one.tower, runs: [one.number], spans: one.episodes, title: say('rowMap', slots), pathLabel: say('mapPath'),
    label: (run) => say('mapRow', { run: String(run) }),
    text: (run) => say('rowPlace', { run: String(run), what: one.kind === 'blocked' ? say('placeNothing') : say('placeLess', slots) }),
  });
  return {
    code: judgement.code, subject: runSubject(one.number), severity: judgement.severity, verdict: judgement.verdict,
    title: say(titleOf(one, judgement), slots), span, episodes: one.episodes.map(({ start, end }) => ({ start, end })),
    measure: { ...ratio, unit: 'ratio', expected: 1 },
    consequence: consequenceOf(story, one, judgement, slots),
    explanation,
    excludes: [say('notSection'), say('notTower', slots), say('notDrill'), say('notWaste'), ...(judgement.verdict === 'cannot-tell' ? [] : judgement.about === 'flow' ? [say('notSensor')] : [say('notHose')])],
    cannotTell: cannotTell(story, judgement, proof !== undefined),
    decidingCheck: say(checkOf(one, judgement), slots),
    cautions: judgement.about === 'sensor' ? [cautions.K1, cautions.K4] : [cautions.K3, cautions.K1, cautions.K4],
    channels: [`${runSubject(one.number)}.count`, ...towerChannels(story, one.tower)],
    evidence: [
      runsPicture(story, [one.tower], [one.number], one.episodes.map(({ start, end }) => ({ start, end })), picture),
      runTrace(story, one.tower, one.index, one.episodes.map(({ start, end }) => ({ start, end })), picture),
      matesTable(story, one.tower, first.from, first.to),
      ...(rows === undefined ? [] : [rows.map]),
    ],
    ...(rows === undefined ? {} : { places: rows.places }),
  };
}

function judged({ thresholds }: Story, one: RunCase, splits: boolean): Judgement {
  const { verdict } = one.test;
  const flow: Judgement['verdict'] = verdict === 'flow' ? 'proved' : verdict === 'sensor' ? (splits ? 'proved' : 'consistent') : 'cannot-tell';
  if (one.kind === 'high') return { code: 'run.high', verdict: verdict === 'flow' ? 'proved' : verdict === 'sensor' ? 'consistent' : 'cannot-tell', severity: 'watch', about: 'either' };
  if (verdict === 'sensor') {
    const isSilent = one.kind === 'blocked' && one.ratio.high < 0.05;
    return { code: isSilent ? 'run.sensor-silent' : 'run.sensor-dirty', verdict: flow, severity: 'watch', about: 'sensor' };
  }
  if (one.kind === 'blocked') {
    return { code: 'run.blocked', verdict: flow, severity: one.judgedSeconds >= thresholds.actionBlocked ? 'action' : 'watch', about: verdict === 'flow' ? 'flow' : 'either' };
  }
  const isGrave = verdict === 'flow' && one.ratio.value < 1 - thresholds.actionLoss && one.judgedSeconds >= thresholds.actionRestricted;
  return { code: 'run.restricted', verdict: flow, severity: isGrave ? 'action' : 'watch', about: verdict === 'flow' ? 'flow' : 'either' };
}

function titleOf(one: RunCase, { code }: Judgement): RunFlowMessage {
  if (code === 'run.high') return 'highTitle';
  if (code === 'run.sensor-silent') return 'silentTitle';
  if (code === 'run.sensor-dirty') return 'dirtyTitle';
  if (code === 'run.blocked') return one.episodes.length > 1 ? 'blockedOftenTitle' : one.recovered ? 'blockedTitle' : 'blockedSinceTitle';
  return one.recovered ? 'restrictedTitle' : 'restrictedSinceTitle';
}

function checkOf(one: RunCase, { about, code }: Judgement): RunFlowMessage {
  if (code === 'run.high') return 'highCheck';
  if (code === 'run.sensor-silent') return 'plugCheck';
  if (about === 'sensor') return 'wipeCheck';
  if (one.kind === 'blocked') return 'openerCheck';
  return about === 'flow' ? 'hoseCheck' : 'swapCheck';
}

function matesSentence({ context: { say } }: Story, { test, kind, episodes }: RunCase): string {
  if (!Number.isFinite(test.rise.low)) return say('matesUnknown', { reason: say((episodes[0]?.from ?? 0) < 60 ? 'sinceStart' : 'tooLittle') });
  const sign = kind === 'high' ? -1 : 1;
  const rise = (value: number): string => `${formatNumber(100 * value, 1)} %`;
  const slots = { rise: rise(test.rise.value), riseLow: rise(test.rise.low), riseHigh: rise(test.rise.high), rightful: rise(test.due) };
  if (test.verdict === 'cannot-tell') return say('matesUnknown', { reason: say('tooLittle') });
  return say(sign < 0 ? 'matesFell' : test.verdict === 'flow' ? 'matesTook' : 'matesStill', slots);
}

function cannotTell({ context: { say } }: Story, { about, code }: Judgement, splits: boolean): string {
  if (code === 'run.high') return say('highUnknown');
  if (about === 'flow') return say('whereUnknown');
  if (about === 'either') return `${say('sensorOrFlow')} ${say('ownStream')}`;
  return splits ? say('whereUnknown') : say('ownStream');
}

function consequenceOf({ context, log }: Story, one: RunCase, { about, code }: Judgement, slots: Readonly<Record<string, string>>): Consequence {
  const { say } = context;
  const cost = fieldCost(context, log, one.tower, 1, one.episodes);
  const length = quantity.length(cost.length, 0);
  if (about === 'sensor') return { text: say('nothingMissing', { length }) };
  const area = cost.area === undefined ? length : quantity.area(cost.area, 3);
  const areaHa = cost.area === undefined ? {} : { areaHa: cost.area / 1e4 };
  if (code === 'run.high') return { ...areaHa, text: say('highRow', { ...slots, area, length }) };
  if (about === 'either' && one.kind !== 'blocked') return { ...areaHa, text: say('maybeRow', { area, length }) };
  const lost = cost.mass === undefined ? undefined : cost.mass * (1 - one.ratio.value);
  const word = one.kind === 'blocked' ? 'bareRow' : 'shortRow';
  return {
    ...areaHa,
    ...(lost === undefined ? {} : { massKg: -lost }),
    text: lost === undefined ? say(`${word}NoMass`, { ...slots, area, length }) : say(word, { ...slots, area, length, mass: quantity.mass(lost) }),
  };
}

function missingFinding(story: Story, one: RunCase): FindingDraft {
  const { say } = story.context;
  const span = { start: one.episodes[0]?.start ?? 0, end: one.episodes.at(-1)?.end ?? 0 };
  const seconds = one.episodes.reduce((sum, episode) => sum + (episode.to - episode.from) * story.log.step, 0);
  const slots = { run: String(one.number), start: quantity.clock(span.start), end: quantity.clock(span.end), judged: quantity.duration(seconds) };
  const episodes = one.episodes.map(({ start, end }) => ({ start, end }));
  const picture = windowAround(story, span);
  return {
    code: 'run.sensor-silent', subject: runSubject(one.number), severity: 'watch', verdict: 'proved',
    title: say('missingTitle', slots), span, episodes, explanation: say('missingWhy', slots),
    measure: { value: 0, low: 0, high: 0, unit: 'ratio', expected: 1 },
    excludes: [say('notSection'), say('notDrill')], cannotTell: say('dropoutCannot'), decidingCheck: say('plugCheck', slots), cautions: [cautions.K1, cautions.K3],
    channels: [`${runSubject(one.number)}.count`, ...towerChannels(story, one.tower)],
    evidence: [runsPicture(story, [one.tower], [one.number], episodes, picture), runTrace(story, one.tower, one.index, episodes, picture)],
  };
}

function stuckFinding(story: Story, one: RunCase): FindingDraft {
  const { say } = story.context;
  const run = story.drill.towers[one.tower]?.runs[one.index];
  const stretch = run?.stuck[0];
  const span = { start: one.episodes[0]?.start ?? 0, end: one.episodes.at(-1)?.end ?? 0 };
  const usual = story.drill.dispersion;
  const slots = {
    run: String(one.number), start: quantity.clock(span.start), end: quantity.clock(span.end),
    value: formatNumber((stretch?.value ?? 0) / story.log.step, 0), share: percent((stretch?.dispersion ?? 0) / usual, 1), usual: formatNumber(usual, 1),
  };
  const episodes = one.episodes.map(({ start, end }) => ({ start, end }));
  const picture = windowAround(story, span);
  return {
    code: 'run.sensor-stuck', subject: runSubject(one.number), severity: 'watch', verdict: 'proved',
    title: say('stuckTitle', slots), span, episodes, measure: { ...stuckRatio(story, one, stretch?.value ?? 0), unit: 'ratio', expected: 1 },
    explanation: [say('stuckWhy', slots), ...flagSentence(story, one.number, one.episodes)].join(' '),
    excludes: [say('stuckNot')], cannotTell: say('stuckCannot'), decidingCheck: say('stuckCheck'), cautions: [cautions.K1, cautions.K10],
    channels: [`${runSubject(one.number)}.count`, ...towerChannels(story, one.tower)],
    evidence: [runTrace(story, one.tower, one.index, episodes, picture), runsPicture(story, [one.tower], [one.number], episodes, picture)],
  };
}

/** Without an own past (stuck since the start) against the middle run of the tower, give or take the drill's spread. */
function stuckRatio({ drill }: Story, one: RunCase, value: number): Interval {
  if (one.ratio.value > 0) return one.ratio;
  const usual = medianOfPositive(Float64Array.from(drill.towers[one.tower]?.runs.flatMap(({ presence }, index) => (index === one.index ? [] : [presence.usual])) ?? []));
  const ratio = value / usual;
  const reach = 1.96 * drill.spread * ratio;
  return ratio > 0 ? { value: ratio, low: Math.max(0, ratio - reach), high: ratio + reach } : { value: 0, low: 0, high: 0 };
}
