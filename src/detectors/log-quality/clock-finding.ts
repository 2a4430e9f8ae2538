import type { ClockEstimate, LogSummary } from '../../../shared/day.ts';
import type { TableEvidence } from '../../../shared/evidence.ts';
import type { Measure } from '../../../shared/finding.ts';
import { formatDuration, formatNumber, quantity } from '../../../shared/text.ts';
import type { FindingDraft } from '../detector.ts';
import type { LogQualityContext } from './gnss-finding.ts';

const HOUR = 3600;
/** m/s; a usual working speed, for the size of the harm only. */
const WORKING_SPEED = 8 / 3.6;
/** Hours; clocks differ by no more than this through their zones. */
const FURTHEST_ZONE = 14;

/** Logs whose clock the reading moved to fit the day's, at their start or later, and logs without a clock that were placed by what they share. */
export function clockFindings(context: LogQualityContext): readonly FindingDraft[] {
  const { logs, options } = context;
  return logs.flatMap((log) => {
    if (Number.isNaN(log.start)) return log.clock === undefined ? [] : [placedFinding(context, log, log.clock)];
    if (Math.abs(log.clockOffset) >= options.leastOffset) return [clockFinding(context, log)];
    return furthestLater(log) >= options.leastOffset ? [clockFinding(context, log)] : [];
  });
}

/** s by which a later part of the log was moved more than its start, at most: its clock was set meanwhile. */
const furthestLater = ({ clock, clockOffset }: LogSummary): number => Math.max(0, ...(clock?.restarts ?? []).map(({ offset }) => Math.abs(offset - clockOffset)));

/** Times that count from the start of recording have no clock to be wrong, but where they lie is a result like any other. */
function placedFinding(context: LogQualityContext, { file }: LogSummary, clock: ClockEstimate): FindingDraft {
  const { say, timeline } = context;
  const span = { start: 0, end: timeline.length };
  const words = { file, reach: formatDuration((clock.high - clock.low) / 2, 1) };
  return {
    code: 'log.clock-offset', subject: file, severity: 'info', verdict: 'proved',
    title: say('placedTitle', words), span, episodes: [span],
    consequence: { text: say('clockConsequenceZone') },
    explanation: [say('placedWhy', { ...words, witness: witnessText(context, clock) }), ...restartText(context, clock)].join(' '),
    excludes: [say('clockNotDelay')],
    cannotTell: say('placedCannot'),
    decidingCheck: say('placedCheck'),
    cautions: [], channels: witnesses(context), evidence: [clockTable(context)],
  };
}

function clockFinding(context: LogQualityContext, log: LogSummary): FindingDraft {
  const { say, timeline } = context;
  const { file, clockOffset: added, clock } = log;
  const zone = zoneOf(added, clock) * HOUR;
  const rest = added + zone;
  const hasRest = Math.abs(rest) >= context.options.leastOffset;
  const isLater = Math.abs(added) < context.options.leastOffset;
  const later = furthestLater(log);
  const words = {
    file, zone: formatDuration(-zone), offset: formatDuration(rest, 1), seconds: formatNumber(added, 1),
    rest: formatDuration(isLater ? later : Math.abs(rest), 1), metres: quantity.length((isLater ? later : Math.abs(rest)) * WORKING_SPEED, 0),
    count: times(clock?.restarts.length ?? 0), later: formatDuration(later, 1),
  };
  const span = { start: 0, end: timeline.length };
  return {
    code: 'log.clock-offset',
    subject: file,
    severity: 'info',
    verdict: 'proved',
    title: say(isLater ? 'clockTitleSet' : zone === 0 ? 'clockTitle' : hasRest ? 'clockTitleZone' : 'clockTitleZoneOnly', words),
    span,
    episodes: [span],
    ...(clock === undefined ? {} : { measure: measureOf(added, clock) }),
    consequence: { text: say(hasRest || isLater ? 'clockConsequence' : 'clockConsequenceZone', words) },
    explanation: [say(isLater ? 'clockWhySet' : 'clockWhy', { ...words, witness: witnessText(context, clock) }), ...driftText(context, clock), ...restartText(context, clock)].join(' '),
    excludes: [say('clockNotDelay')],
    cannotTell: say(clock?.from === 'gnss-time' ? 'clockCannotTold' : 'clockCannot'),
    decidingCheck: say('clockCheck'),
    cautions: [],
    channels: witnesses(context), evidence: [clockTable(context)],
  };
}

const witnesses = ({ channels }: LogQualityContext): readonly string[] => ['wheel.speed', 'gnss.speed', 'drive.speed', 'implement.working', 'engine.speed'].filter((id) => channels(id).length > 0);

const clockTable = ({ say, logs }: LogQualityContext): TableEvidence => ({
  kind: 'table', title: say('clockTable'),
  columns: [{ label: say('clockFile') }, { label: say('clockAdded'), unit: 's', digits: 1 }, { label: say('clockDriftLabel'), digits: 1 }, { label: say('clockCount') }],
  rows: logs.map((each) => [each.file, Number.isNaN(each.start) ? null : each.clockOffset, each.clock?.driftPerHour ?? null, each.clock?.n ?? null]),
});

/** Hours the log's face is ahead by zone; without the reading's word, whole quarters with less than five minutes beside them. */
function zoneOf(added: number, clock: ClockEstimate | undefined): number {
  if (clock !== undefined) return clock.zoneHours ?? 0;
  const quarters = -Math.round(added / (HOUR / 4)) / 4;
  return Math.abs(quarters) >= 0.5 && Math.abs(quarters) <= FURTHEST_ZONE && Math.abs(added + quarters * HOUR) < 300 ? quarters : 0;
}

/** What was added with the estimate's own reach. */
function measureOf(added: number, { offset, low, high }: ClockEstimate): Measure {
  return { value: added, low: Math.min(added, added + low - offset), high: Math.max(added, added + high - offset), unit: 's', expected: 0 };
}

const WITNESSES = { 'speed': 'clockBySpeed', 'lift': 'clockByLift', 'engine': 'clockByEngine', 'gnss-time': 'clockByTime' } as const;

function witnessText({ say }: LogQualityContext, clock: ClockEstimate | undefined): string {
  if (clock === undefined) return say('clockByAny');
  return say(WITNESSES[clock.from], { against: clock.against ?? '', count: String(clock.n) });
}

function driftText({ say }: LogQualityContext, clock: ClockEstimate | undefined): readonly string[] {
  const { driftPerHour: drift, driftLow: low, driftHigh: high } = clock ?? {};
  if (drift === undefined || low === undefined || high === undefined || !(low > 0 || high < 0)) return [];
  return [say('clockDrift', { drift: formatNumber(drift, 2), low: formatNumber(low, 2), high: formatNumber(high, 2) })];
}

const restartText = ({ say }: LogQualityContext, clock: ClockEstimate | undefined): readonly string[] =>
  clock === undefined || clock.restarts.length === 0 ? [] : [say('clockRestarts', { count: times(clock.restarts.length) })];

const times = (count: number): string => (count === 1 ? 'once' : count === 2 ? 'twice' : `${count} times`);
