import { formatNumber, quantity } from '../../../shared/text.ts';
import { generalizedEsd } from '../../series/outliers.ts';
import { cautions } from '../cautions.ts';
import type { FindingDraft } from '../detector.ts';
import { matesTable, runsPicture, runTrace } from './evidence.ts';
import type { GhostCounts } from './ghost-counts.ts';
import type { RunCase } from './run-cases.ts';
import { percent, runSubject, towerChannels, type Story } from './story.ts';

interface Place {
  readonly tower: number;
  readonly index: number;
  readonly number: number;
}

function placesOf({ log }: Story): readonly Place[] {
  return log.towers.flatMap(({ runs }, tower) => runs.map((run, index) => ({ tower, index, number: log.runs[run]?.number ?? 0 })));
}

const judgedSpan = ({ drill, log }: Story, tower: number) => ({
  start: (drill.towers[tower]?.judged.cells[0] ?? 0) * log.step,
  end: ((drill.towers[tower]?.judged.cells.at(-1) ?? 0) + 1) * log.step,
});

/** Share of the runs that may be outliers. */
const MOST_OUTLIERS = 0.1;

/**
 * Runs out of line all day: nothing says whether gain or flow, so never more than `watch`. They must be outliers of this
 * drill's own spread by the generalized ESD test: at a healthy CV of 12 % the worst of 60 runs is 30 % low.
 */
export function offsetFindings(story: Story, cases: readonly RunCase[]): readonly FindingDraft[] {
  const { thresholds: limits, drill } = story;
  const { say } = story.context;
  const known = placesOf(story).flatMap((place) => {
    const run = drill.towers[place.tower]?.runs[place.index];
    return run?.past === undefined || !(run.gain > 0) ? [] : [{ ...place, gain: run.gain, past: run.past }];
  });
  const { outliers } = generalizedEsd(known.map(({ gain }) => gain), Math.ceil(MOST_OUTLIERS * known.length), limits.offsetAlpha);
  return outliers.flatMap((at): FindingDraft[] => {
    const one = known[at];
    if (one === undefined || !one.past.sinceStart || one.gain > 1 - limits.leastOffset && one.gain < 1 + limits.leastOffsetHigh || cases.some(({ number }) => number === one.number)) return [];
    const { gain, tower, index, number } = one;
    const span = judgedSpan(story, tower);
    const reach = 1.96 * Math.hypot(one.past.uncertainty, 0.01) * gain;
    const isLow = gain < 1;
    const isDead = gain < limits.blocked;
    const slots = {
      run: String(number), size: percent(Math.abs(1 - gain)), side: say(isLow ? 'under' : 'over'), left: percent(gain), low: percent(gain - reach), high: percent(gain + reach),
      spread: percent(drill.spread), runs: String(known.length), side2: say(isLow ? 'less' : 'more'),
    };
    return [{
      code: isDead ? 'run.blocked' : isLow ? 'run.restricted' : 'run.high', subject: runSubject(number), severity: isDead ? 'action' : gain < 1 - limits.watchOffset ? 'watch' : 'info', verdict: 'cannot-tell',
      title: say('offsetTitle', slots), span, episodes: [span], measure: { value: gain, low: Math.max(0, gain - reach), high: gain + reach, unit: 'ratio', expected: 1 },
      explanation: say('offsetWhy', slots), excludes: [say('notSection'), say('notDrill'), say('offsetNot')],
      cannotTell: say('offsetCannot', slots), decidingCheck: say(isDead ? 'openerCheck' : 'swapCheck', slots), cautions: [cautions.K1, cautions.K3, cautions.K4],
      channels: [`${runSubject(number)}.count`, ...towerChannels(story, tower)],
      evidence: [runTrace(story, tower, index, [], span), matesTable(story, tower, 0, drill.towers[tower]?.judged.cells.length ?? 0)],
    }];
  });
}

/** s of flow in which a run must have shown nothing to count as blank. */
const BLANK_SECONDS = 600;

/** Runs without a count all day, all in one line. */
export function blankFinding(story: Story): FindingDraft | undefined {
  const { say } = story.context;
  const { drill, log } = story;
  const blank = placesOf(story).filter(({ tower, index }) => {
    const judged = drill.towers[tower]?.judged;
    return drill.towers[tower]?.runs[index]?.presence.usual === 0 && (judged?.cells.length ?? 0) * log.step >= BLANK_SECONDS;
  });
  const first = blank[0];
  if (first === undefined) return undefined;
  const span = judgedSpan(story, first.tower);
  const numbers = blank.map(({ number }) => number);
  const seconds = (drill.towers[first.tower]?.judged.cells.length ?? 0) * log.step;
  return {
    code: 'run.sensor-silent', subject: runSubject(first.number), severity: 'info', verdict: 'cannot-tell',
    title: say('blankTitle', { runs: numbers.join(', ') }), span, episodes: [span], measure: { value: 0, low: 0, high: 0, unit: 'ratio', expected: 1 },
    explanation: say('blankWhy', { judged: quantity.duration(seconds) }), excludes: [say('notDrill'), say('notSection')],
    cannotTell: say('blankCannot'), decidingCheck: say('blankCheck'), cautions: [cautions.K3, cautions.K1],
    channels: numbers.map((number) => `run.${number}.count`),
    evidence: [runsPicture(story, [...new Set(blank.map(({ tower }) => tower))], numbers, [], span)],
  };
}

export function ghostFindings(story: Story, ghosts: readonly GhostCounts[]): readonly FindingDraft[] {
  const { say } = story.context;
  return ghosts.map(({ tower, index, number, perSecond, usual, seconds, after, spans }): FindingDraft => {
    const span = { start: spans[0]?.start ?? 0, end: spans.at(-1)?.end ?? 0 };
    const slots = { run: String(number), value: formatNumber(perSecond, 1), usual: formatNumber(usual, 1), judged: quantity.duration(seconds), after: quantity.duration(after) };
    return {
      code: 'run.sensor-stuck', subject: runSubject(number), severity: 'watch', verdict: 'proved', title: say('ghostTitle', slots), span, episodes: spans,
      explanation: say('ghostWhy', slots), excludes: [say('ghostNot')], cannotTell: say('ghostCannot'), decidingCheck: say('ghostCheck', slots), cautions: [cautions.K1, cautions.K10],
      channels: [`${runSubject(number)}.count`, ...towerChannels(story, tower)],
      evidence: [{
        kind: 'table', title: say('matesTable', { tower: story.log.towers[tower]?.id ?? '' }),
        columns: [{ label: say('columnRun') }, { label: say('columnDuring'), unit: '1/s', digits: 1 }],
        rows: [[runSubject(number), perSecond], [say('traceMates'), usual]],
      }, runTrace(story, tower, index, spans.slice(0, 20), judgedSpan(story, tower))],
    };
  });
}
