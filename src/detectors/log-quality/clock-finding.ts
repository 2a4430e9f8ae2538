import type { LogSummary } from '../../../shared/day.ts';
import { formatDuration, formatNumber, quantity } from '../../../shared/text.ts';
import type { FindingDraft } from '../detector.ts';
import type { LogQualityContext } from './gnss-finding.ts';

const HOUR = 3600;
/** m/s; a usual working speed, for the size of the harm only. */
const WORKING_SPEED = 8 / 3.6;

/** Logs whose clock the reading moved to fit the day's. */
export function clockFindings(context: LogQualityContext): readonly FindingDraft[] {
  return context.logs.filter(({ clockOffset }) => Math.abs(clockOffset) >= context.options.leastOffset).map((log) => clockFinding(context, log));
}

function clockFinding({ say, logs, timeline, channels }: LogQualityContext, log: LogSummary): FindingDraft {
  const { file, clockOffset: added } = log;
  /* Zones are whole hours, some of them halves and quarters; a clock that is merely wrong is less far off. */
  const zone = Math.round(added / (HOUR / 4)) * (HOUR / 4);
  const isZone = Math.abs(zone) >= HOUR / 2 && Math.abs(added - zone) < 300;
  const rest = isZone ? added - zone : added;
  const words = { file, zone: formatDuration(zone), offset: formatDuration(rest, 1), seconds: formatNumber(added, 1), rest: formatDuration(Math.abs(rest), 1), metres: quantity.length(Math.abs(rest) * WORKING_SPEED, 0) };
  const hasRest = Math.abs(rest) >= 0.05;
  const span = { start: 0, end: timeline.length };
  return {
    code: 'log.clock-offset',
    subject: file,
    severity: 'info',
    verdict: 'proved',
    title: say(!isZone ? 'clockTitle' : hasRest ? 'clockTitleZone' : 'clockTitleZoneOnly', words),
    span,
    episodes: [span],
    consequence: { text: say(hasRest ? 'clockConsequence' : 'clockConsequenceZone', words) },
    explanation: say('clockWhy', { ...words, drift: '' }),
    excludes: [say('clockNotDelay')],
    cannotTell: say('clockCannot'),
    decidingCheck: say('clockCheck'),
    cautions: [],
    channels: ['wheel.speed', 'gnss.speed', 'drive.speed', 'implement.working'].filter((id) => channels(id).length > 0),
    evidence: [{
      kind: 'table', title: say('clockTable'),
      columns: [{ label: say('clockFile') }, { label: say('clockAdded'), unit: 's', digits: 1 }],
      rows: logs.map((each) => [each.file, each.clockOffset]),
    }],
  };
}
