import type { ClockEstimate, LogSummary } from '../../../shared/day.ts';
import type { Measure } from '../../../shared/finding.ts';
import { formatDuration, formatNumber, quantity } from '../../../shared/text.ts';
import type { FindingDraft } from '../detector.ts';
import type { LogQualityContext } from './gnss-finding.ts';

const HOUR = 3600;
/** m/s; a usual working speed, for the size of the harm only. */
const WORKING_SPEED = 8 / 3.6;
/** Hours; clocks differ by no more than this through their zones. */
const FURTHEST_ZONE = 14;

/** Logs whose clock the reading moved to fit the day's. */
export function clockFindings(context: LogQualityContext): readonly FindingDraft[] {
  const { logs, options } = context;
  /* A log whose times count from its start has no clock to be wrong. */
  return logs.filter(({ start, clockOffset }) => !Number.isNaN(start) && Math.abs(clockOffset) >= options.leastOffset).map((log) => clockFinding(context, log));
}

function clockFinding(context: LogQualityContext, log: LogSummary): FindingDraft {
  const { say, logs, timeline, channels } = context;
  const { file, clockOffset: added, clock } = log;
  const zone = zoneOf(added, clock) * HOUR;
  const rest = added + zone;
  const hasRest = Math.abs(rest) >= context.options.leastOffset;
  const words = {
    file, zone: formatDuration(-zone), offset: formatDuration(rest, 1), seconds: formatNumber(added, 1),
    rest: formatDuration(Math.abs(rest), 1), metres: quantity.length(Math.abs(rest) * WORKING_SPEED, 0),
  };
  const span = { start: 0, end: timeline.length };
  return {
    code: 'log.clock-offset',
    subject: file,
    severity: 'info',
    verdict: 'proved',
    title: say(zone === 0 ? 'clockTitle' : hasRest ? 'clockTitleZone' : 'clockTitleZoneOnly', words),
    span,
    episodes: [span],
    ...(clock === undefined ? {} : { measure: measureOf(added, clock) }),
    consequence: { text: say(hasRest ? 'clockConsequence' : 'clockConsequenceZone', words) },
    explanation: [say('clockWhy', { ...words, witness: witnessText(context, clock) }), ...driftText(context, clock), ...restartText(context, clock)].join(' '),
    excludes: [say('clockNotDelay')],
    cannotTell: say(clock?.from === 'gnss-time' ? 'clockCannotTold' : 'clockCannot'),
    decidingCheck: say('clockCheck'),
    cautions: [],
    channels: ['wheel.speed', 'gnss.speed', 'drive.speed', 'implement.working', 'engine.speed'].filter((id) => channels(id).length > 0),
    evidence: [{
      kind: 'table', title: say('clockTable'),
      columns: [{ label: say('clockFile') }, { label: say('clockAdded'), unit: 's', digits: 1 }, { label: say('clockDriftLabel'), digits: 1 }, { label: say('clockCount') }],
      rows: logs.map((each) => [each.file, each.clockOffset, each.clock?.driftPerHour ?? null, each.clock?.n ?? null]),
    }],
  };
}

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
  clock === undefined || clock.restarts.length === 0 ? [] : [say('clockRestarts', { count: String(clock.restarts.length) })];
