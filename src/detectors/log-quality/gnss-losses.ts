import type { Channel } from '../../../shared/channel.ts';
import type { Span } from '../../../shared/span.ts';
import { wheelSpeed } from '../../episodes/motion.ts';
import { samplingOf } from '../../episodes/sampling.ts';
import { gapsOf } from '../../series/gaps.ts';
import { median } from '../../series/robust.ts';
import { intersectSpans, joinSpans, spansWhere, subtractSpans, unionSpans } from '../../series/spans.ts';
import type { DetectorContext } from '../detector.ts';
import { fileSilences } from './file-silences.ts';
import type { LogQualityOptions } from './options.ts';
import { valuesWithin } from './values-within.ts';

/** `frozen`: repeats one position while the machine moves; `silent`: no reports; `no-fix`: says so itself; `degraded`: without its usual correction. */
export type GnssLossKind = 'frozen' | 'silent' | 'no-fix' | 'degraded';

export interface GnssLoss {
  readonly kind: GnssLossKind;
  /** The channel that shows it. */
  readonly channel: string;
  /** s from the day's start. */
  readonly spans: readonly Span[];
}

type Context = Pick<DetectorContext<string, object>, 'channel' | 'channels' | 'timeline' | 'episodes' | 'setup'>;

/** When positions were not what they usually are, while the machine moved. */
export function gnssLosses(context: Context, options: LogQualityOptions): readonly GnssLoss[] {
  const moving = movingSpans(context, options);
  const position = context.channel('gnss.lat') === undefined ? context.channel('gnss.speed') : context.channel('gnss.lat');
  if (position === undefined) return [];
  const frozen = frozenSpans(context, moving, options);
  const silent = silentSpans(context, position, moving, options);
  const noFix = fixSpans(context, moving, options, (rank) => rank === 0).filter(({ end, start }) => end - start >= options.silentSeconds);
  const degraded = degradedLoss(context, unionSpans(frozen, silent, noFix), options);
  const speedStoodToo = frozen.length > 0 && frozen.every((span) => isConstant(context.channel('gnss.speed'), span));
  const losses: readonly GnssLoss[] = [
    { kind: 'frozen', channel: speedStoodToo ? 'gnss.speed' : position.id, spans: frozen },
    { kind: 'silent', channel: position.id, spans: subtractSpans(silent, frozen) },
    { kind: 'no-fix', channel: 'gnss.fix', spans: subtractSpans(noFix, unionSpans(frozen, silent)) },
    degraded,
  ];
  return losses.filter(({ spans }) => spans.length > 0);
}

/** m/s by what does not depend on the receiver: the wheel's, radar's or tractor's speed, whichever is known. */
export function rollingSpeed({ timeline, setup }: Pick<Context, 'timeline' | 'setup'>): Float64Array | undefined {
  const sources = [wheelSpeed(timeline, setup), timeline.mean('ground.speed'), timeline.mean('drive.speed')].filter((each) => each !== undefined);
  const [first] = sources;
  return first?.map((_, k) => sources.find((source) => !Number.isNaN(source[k] as number))?.[k] ?? Number.NaN);
}

/** By a rolling wheel; without one, by the receiver's own speed, which a frozen position contradicts just as well. */
function movingSpans(context: Context, { moving }: LogQualityOptions): readonly Span[] {
  const speed = rollingSpeed(context) ?? context.timeline.mean('gnss.speed');
  return speed === undefined ? [] : joinSpans(spansWhere(speed.map((v) => (v > moving ? 1 : 0))), 2);
}

/** Every sample the same to the last digit. */
function frozenSpans(context: Context, moving: readonly Span[], { frozenSeconds }: LogQualityOptions): readonly Span[] {
  const [latitude, longitude, speed] = [context.channel('gnss.lat'), context.channel('gnss.lon'), context.channel('gnss.speed')];
  const still = latitude !== undefined && longitude !== undefined
    ? intersectSpans(constantSpans(latitude, frozenSeconds), constantSpans(longitude, frozenSeconds))
    /* A speed alone is rounded and may well repeat: only much longer is odd. */
    : speed === undefined ? [] : constantSpans(speed, 4 * frozenSeconds);
  return still.filter((span) => {
    const moved = intersectSpans([span], moving).reduce((sum, { start, end }) => sum + end - start, 0);
    return span.end - span.start >= frozenSeconds && moved >= 0.8 * (span.end - span.start);
  });
}

/** From the first of equal samples to the next different one. */
function constantSpans({ time, value }: Channel, shortest: number): Span[] {
  const spans: Span[] = [];
  let since = 0;
  for (let i = 1; i <= value.length; i++) {
    if (i < value.length && value[i] === value[since]) continue;
    const start = time[since] as number;
    const end = time[Math.min(i, value.length - 1)] as number;
    if (end - start >= shortest && i - since >= 3) spans.push({ start, end });
    since = i;
  }
  return spans;
}

function isConstant(channel: Channel | undefined, { start, end }: Span): boolean {
  if (channel === undefined) return false;
  const inside = channel.value.filter((_, i) => (channel.time[i] as number) >= start && (channel.time[i] as number) < end);
  return inside.length > 1 && inside.every((value) => value === inside[0]);
}

/** No report although the log went on. */
function silentSpans(context: Context, position: Channel, moving: readonly Span[], { silentSeconds }: LogQualityOptions): readonly Span[] {
  const { time, interval, regular } = samplingOf(position);
  if (!regular) return [];
  const quiet = gapsOf(time, { longest: Math.max(silentSeconds, 5 * interval) });
  if (quiet.length === 0) return [];
  const fileSilent = fileSilences(context, silentSeconds).filter(({ file }) => file === position.source.file).flatMap(({ spans }) => spans);
  /* A silence of the whole log within this one's is the log's. */
  const own = quiet.filter((span) => subtractSpans([span], fileSilent).reduce((sum, { start, end }) => sum + end - start, 0) > 0.5 * (span.end - span.start));
  return intersectSpans(own, moving).filter(({ start, end }) => end - start >= silentSeconds);
}

/** 3 = corrected to centimetres, 2 = differential, 1 = alone, 0 = none (NMEA 2000 129029 methods: 4 fixed, 5 float, 2 and 3 differential and precise, 6 to 8 estimated). */
export function rankOfFix(fix: number): number {
  if (fix === 4 || fix === 5) return 3;
  if (fix === 2 || fix === 3) return 2;
  return fix === 1 ? 1 : 0;
}

function fixSpans({ timeline }: Context, within: readonly Span[], _: LogQualityOptions, isLost: (rank: number) => boolean): readonly Span[] {
  const fix = timeline.held('gnss.fix');
  if (fix === undefined) return [];
  return intersectSpans(joinSpans(spansWhere(fix.map((each) => (!Number.isNaN(each) && isLost(rankOfFix(Math.round(each))) ? 1 : 0))), 5), within);
}

/** Worse than over most of the day's work. */
function degradedLoss(context: Context, others: readonly Span[], options: LogQualityOptions): GnssLoss {
  const { timeline, episodes } = context;
  const ranks = valuesWithin(timeline.held('gnss.fix'), episodes.working).map((fix) => rankOfFix(Math.round(fix)));
  const usual = ranks.length === 0 ? 0 : median(ranks);
  const lost = fixSpans(context, episodes.working, options, (rank) => rank > 0 && rank < usual);
  const hdop = timeline.mean('gnss.hdop');
  const usualHdop = median(valuesWithin(hdop, episodes.working));
  const diluted = hdop === undefined || !(usualHdop < options.usualHdop) ? [] : intersectSpans(spansWhere(hdop.map((each) => (each >= options.worstHdop ? 1 : 0))), episodes.working);
  const lasting = (spans: readonly Span[]): readonly Span[] => subtractSpans(joinSpans(spans, 10), others).filter(({ start, end }) => end - start >= options.degradedSeconds);
  const byFix = lasting(lost);
  return byFix.length > 0 ? { kind: 'degraded', channel: 'gnss.fix', spans: lasting([...lost, ...diluted]) } : { kind: 'degraded', channel: 'gnss.hdop', spans: lasting(diluted) };
}
