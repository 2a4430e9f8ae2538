import type { Evidence, TraceEvidence } from '../../../shared/evidence.ts';
import type { Place } from '../../../shared/finding.ts';
import type { Span } from '../../../shared/span.ts';
import { formatNumber, quantity } from '../../../shared/text.ts';
import { intersectSpans, totalSeconds } from '../../series/spans.ts';
import { quantile } from '../../series/robust.ts';
import { cautions } from '../cautions.ts';
import type { DetectorContext, FindingDraft } from '../detector.ts';
import { rollingSpeed, type GnssLoss, type GnssLossKind } from './gnss-losses.ts';
import { groundIn, wayRolled, workedArea, type LostGround } from './lost-ground.ts';
import type { LogQualityMessage } from './messages.ts';
import type { LogQualityOptions } from './options.ts';
import { valuesWithin } from './values-within.ts';

export type LogQualityContext = DetectorContext<LogQualityMessage, LogQualityOptions>;

const TITLES = { 'frozen': 'frozenTitle', 'silent': 'silentTitle', 'no-fix': 'noFixTitle', 'degraded': 'degradedTitle' } as const satisfies Record<GnssLossKind, LogQualityMessage>;
const REASONS = { 'frozen': 'frozenWhy', 'silent': 'silentWhy', 'no-fix': 'noFixWhy', 'degraded': 'degradedWhy' } as const satisfies Record<GnssLossKind, LogQualityMessage>;

/** When GNSS told nothing, or less than usual. */
export function gnssFinding(context: LogQualityContext, { kind, channel, spans }: GnssLoss): FindingDraft {
  const { say } = context;
  const span = { start: spans[0]?.start ?? 0, end: spans.at(-1)?.end ?? 0 };
  const seconds = totalSeconds(spans);
  const lost = groundIn(context, spans);
  const rolled = wayRolled(context, spans);
  const isRough = kind === 'degraded';
  const diluted = isRough && channel === 'gnss.hdop';
  const hdop = context.timeline.mean('gnss.hdop');
  const when = { first: quantity.clock(span.start), last: quantity.clock(span.end) };
  const words = {
    ...when, time: quantity.duration(Math.round(seconds)),
    count: spans.length === 1 ? say('once', when) : say('times', { ...when, count: String(spans.length) }),
    witness: rolled === undefined ? say('witnessNone') : say('witnessWay', { metres: quantity.length(rolled, 0) }),
    hdop: worst(hdop, spans), usualHdop: usualIn(hdop, context.episodes.working),
    lost: usualIn(context.timeline.held('gnss.fix'), spans), usual: usualIn(context.timeline.held('gnss.fix'), context.episodes.working),
  };
  return {
    code: 'log.gnss-lost',
    subject: channel,
    severity: severityOf(context, lost),
    verdict: 'proved',
    title: say(diluted ? 'dilutedTitle' : TITLES[kind], words),
    span,
    episodes: spans,
    /* Reports come at least once a second; both ends may be off by one. */
    measure: { value: seconds, low: Math.max(0, seconds - spans.length), high: seconds + spans.length, unit: 's', expected: 0 },
    consequence: { ...(lost.area === undefined || lost.distance === 0 ? {} : { areaHa: lost.area / 1e4 }), text: consequenceText(context, lost, isRough) },
    explanation: say(diluted ? 'dilutedWhy' : REASONS[kind], words),
    excludes: [...(rolled !== undefined && !isRough ? [say('notStop')] : []), say('notLog')],
    cannotTell: say('gnssCannot'),
    decidingCheck: say('gnssCheck'),
    cautions: [cautions.K8, cautions.K9],
    channels: [channel, ...(isRough ? [] : ['wheel.speed', 'wheel.pulses', 'drive.speed'].filter((id) => context.channel(id) !== undefined).slice(0, 1))],
    evidence: [isRough ? qualityTrace(context, channel, spans) : speedTrace(context, spans), listOf(context, spans)],
    ...(isRough ? {} : { places: placesOf(context, spans) }),
  };
}

/** Ground that matters is watched; seconds alone are a remark. */
export function severityOf(context: LogQualityContext, { area }: LostGround): 'watch' | 'info' {
  const { watchArea, watchShare } = context.options;
  return area !== undefined && area > Math.max(watchArea, watchShare * (workedArea(context) ?? Infinity)) ? 'watch' : 'info';
}

function consequenceText({ say }: LogQualityContext, { area, distance }: LostGround, isRough: boolean): string {
  if (distance === 0) return say('lostNothing');
  const metres = quantity.length(distance, 0);
  if (area === undefined) return say(isRough ? 'roughWay' : 'lostWay', { metres });
  return say(isRough ? 'roughArea' : 'lostArea', { area: quantity.area(area) });
}

function worst(values: Float64Array | undefined, spans: readonly Span[]): string {
  const inside = valuesWithin(values, spans);
  return inside.length === 0 ? '–' : formatNumber(inside.reduce((most, each) => Math.max(most, each), 0), 1);
}

function usualIn(values: Float64Array | undefined, spans: readonly Span[]): string {
  const inside = valuesWithin(values, spans);
  if (inside.length === 0) return '–';
  const usual = quantile(inside, 0.5);
  return formatNumber(usual, Number.isInteger(usual) ? 0 : 1);
}

/** Half a minute either side of the longest stretch. */
function speedTrace(context: LogQualityContext, spans: readonly Span[]): TraceEvidence {
  const { say, timeline } = context;
  const longest = spans.reduce((best, span) => (span.end - span.start > best.end - best.start ? span : best), spans[0] ?? { start: 0, end: 0 });
  const span = { start: Math.max(0, Math.floor(longest.start) - 30), end: Math.min(timeline.length, Math.ceil(Math.min(longest.end, longest.start + 600)) + 30) };
  const wheel = rollingSpeed(context);
  return {
    kind: 'trace', title: say('gnssTrace'), unit: 'm/s', span, shaded: intersectSpans(spans, [span]), levels: [],
    series: [
      lineOf(say('gnssLabel'), timeline.mean('gnss.speed'), span, 'subject', 1),
      ...(wheel === undefined ? [] : [lineOf(say('wheelLabel'), wheel, span, 'witness', 1)]),
    ],
  };
}

/** The whole time round the loss, thinned to what a screen shows. */
function qualityTrace({ say, timeline }: LogQualityContext, channel: string, spans: readonly Span[]): TraceEvidence {
  const span = { start: Math.max(0, Math.floor(spans[0]?.start ?? 0) - 300), end: Math.min(timeline.length, Math.ceil(spans.at(-1)?.end ?? 0) + 300) };
  const every = Math.max(1, Math.ceil((span.end - span.start) / 2000));
  const isFix = channel === 'gnss.fix';
  return {
    kind: 'trace', title: say(isFix ? 'fixTrace' : 'hdopTrace'), unit: '1', span, shaded: spans, levels: [],
    series: [{ ...lineOf(say(isFix ? 'fixLabel' : 'hdopLabel'), isFix ? timeline.held(channel) : timeline.mean(channel), span, 'subject', every), style: isFix ? 'steps' : 'line' }],
  };
}

function lineOf(label: string, values: Float64Array | undefined, { start, end }: Span, role: 'subject' | 'witness', every: number): TraceEvidence['series'][number] {
  const x = Array.from({ length: Math.max(0, Math.ceil((end - start) / every)) }, (_, i) => start + i * every + 0.5);
  const y = x.map((time) => {
    const value = values?.[Math.floor(time)] ?? Number.NaN;
    return Number.isFinite(value) ? value : null;
  });
  return { label, x, y, style: 'line', role };
}

function listOf(context: LogQualityContext, spans: readonly Span[]): Evidence {
  const { say } = context;
  return {
    kind: 'table', title: say('listTitle'),
    columns: [{ label: say('listStart'), unit: 's' }, { label: say('listLength'), unit: 's', digits: 0 }, { label: say('listWay'), unit: 'm', digits: 0 }],
    rows: spans.slice(0, 50).map((span) => [Math.round(span.start), span.end - span.start, groundIn(context, [span]).distance]),
  };
}

/** From the last known place to the next: the way between them is not known. */
function placesOf({ say, timeline }: LogQualityContext, spans: readonly Span[]): readonly Place[] {
  const [latitude, longitude] = [timeline.mean('gnss.lat'), timeline.mean('gnss.lon')];
  const at = (second: number): readonly (readonly [number, number])[] => {
    const place = [longitude?.[second] ?? Number.NaN, latitude?.[second] ?? Number.NaN] as const;
    return place.every(Number.isFinite) ? [place] : [];
  };
  return spans.slice(0, 50).flatMap(({ start, end }) => {
    const coordinates = [...at(Math.floor(start) - 1), ...at(Math.ceil(end))];
    return coordinates.length < 2 ? [] : [{ kind: 'line' as const, coordinates, text: say('place', { start: quantity.clock(start), end: quantity.clock(end) }) }];
  });
}
