import type { Channel } from '../../../shared/channel.ts';
import type { TraceEvidence } from '../../../shared/evidence.ts';
import type { Span } from '../../../shared/span.ts';
import { quantity } from '../../../shared/text.ts';
import { planeAround } from '../../field/plane.ts';
import { indexAtOrBefore } from '../../series/resample.ts';
import { intersectSpans, totalSeconds } from '../../series/spans.ts';
import { samplingOf } from '../../episodes/sampling.ts';
import { cautions } from '../cautions.ts';
import type { FindingDraft } from '../detector.ts';
import { allChannels, commonSilences, fileSilences, type Silence } from './file-silences.ts';
import { severityOf, type LogQualityContext } from './gnss-finding.ts';
import { groundIn, isAmidWork } from './lost-ground.ts';

/** What of a log, or of several at once, was silent, and when that mattered. */
interface Gap {
  readonly files: readonly string[];
  /** First part of the channels' names; undefined = the whole log. */
  readonly group?: string;
  readonly spans: readonly Span[];
  readonly channels: readonly Channel[];
}

/** Groups that checks build on; GNSS has its own finding. */
const GROUPS = ['wheel', 'fan', 'tank', 'meter', 'run', 'section', 'implement'];

/** Logs, and groups of channels in them, that fell silent while the machine worked. */
export function gapFindings(context: LogQualityContext): readonly FindingDraft[] {
  const { options } = context;
  const channels = allChannels(context);
  const silences = fileSilences(context, options.silentSeconds);
  const files = together(silences).map(({ files: silent, spans }): Gap => (
    { files: silent, spans: spans.filter((span) => mattered(context, span)), channels: channels.filter(({ source }) => silent.includes(source.file)) }));
  const groups = [...new Set(channels.map(({ source }) => source.file))].flatMap((file) => GROUPS.map((group): Gap => {
    const members = channels.filter(({ id, source }) => source.file === file && id.split('.')[0] === group);
    const isSteady = members.some((member) => samplingOf(member).regular);
    const whole = silences.filter((silence) => silence.file === file).flatMap(({ spans }) => spans);
    const silent = isSteady ? commonSilences(members, options.groupSeconds) : [];
    return {
      files: [file], group, channels: members,
      spans: silent.filter((span) => totalSeconds(intersectSpans([span], whole)) < 0.5 * (span.end - span.start) && mattered(context, span)),
    };
  }));
  return [...files, ...groups].filter(({ spans }) => spans.length > 0).map((gap) => gapFinding(context, gap));
}

/** Silences at the same time, by the logs that share them: one cause, such as the power, told once. */
function together(silences: readonly Silence[]): readonly { readonly files: readonly string[]; readonly spans: readonly Span[] }[] {
  const joint: { span: Span; readonly files: string[] }[] = [];
  for (const { file, spans } of silences) {
    for (const span of spans) {
      const same = joint.find((each) => !each.files.includes(file) && totalSeconds(intersectSpans([each.span], [span])) >= ALIKE * Math.max(span.end - span.start, each.span.end - each.span.start));
      if (same === undefined) joint.push({ span, files: [file] });
      else {
        same.files.push(file);
        same.span = { start: Math.min(same.span.start, span.start), end: Math.max(same.span.end, span.end) };
      }
    }
  }
  const sets = new Map<string, { readonly files: readonly string[]; readonly spans: Span[] }>();
  for (const { span, files } of joint) {
    const key = files.toSorted().join('\n');
    const set = sets.get(key) ?? { files: files.toSorted(), spans: [] };
    set.spans.push(span);
    sets.set(key, set);
  }
  return [...sets.values()].map(({ files, spans }) => ({ files, spans: spans.toSorted((a, b) => a.start - b.start) }));
}

/** Share of the longer of two silences in which both are silent, from which on they are one. */
const ALIKE = 0.8;

/** Worked on both sides, or moved meanwhile: not a break with the key off. */
function mattered(context: LogQualityContext, span: Span): boolean {
  const { working } = context.episodes;
  const isNearWork = intersectSpans(working, [{ start: span.start - NEAR, end: span.end + NEAR }]).length > 0;
  return isAmidWork(working, span) || (isNearWork && movedOver(context, span) > context.options.movedMetres);
}

/** s */
const NEAR = 60;

/** m between the last position before and the first after; 0 when not known. */
function movedOver({ channel }: LogQualityContext, { start, end }: Span): number {
  const [latitude, longitude] = [channel('gnss.lat'), channel('gnss.lon')];
  const plane = latitude === undefined || longitude === undefined ? undefined : planeAround(latitude.value, longitude.value);
  if (latitude === undefined || longitude === undefined || plane === undefined) return 0;
  const at = (i: number): readonly [number, number] => plane.toPlane(latitude.value[i] ?? Number.NaN, longitude.value[i] ?? Number.NaN);
  const [east, north] = at(indexAtOrBefore(latitude.time, start + 0.5));
  const [eastAfter, northAfter] = at(indexAtOrBefore(latitude.time, end - 0.5) + 1);
  const metres = Math.hypot(eastAfter - east, northAfter - north);
  return Number.isNaN(metres) ? 0 : metres;
}

function gapFinding(context: LogQualityContext, gap: Gap): FindingDraft {
  const { say } = context;
  const { files, group, spans } = gap;
  const file = files.join(say('and'));
  const [first] = spans;
  const span = { start: first?.start ?? 0, end: spans.at(-1)?.end ?? 0 };
  const seconds = totalSeconds(spans);
  const lost = groundIn(context, spans, true);
  const moved = first === undefined ? 0 : movedOver(context, first);
  const words = { file, group: group ?? '', time: quantity.duration(Math.round(seconds)), start: quantity.clock(span.start), end: quantity.clock(first?.end ?? 0), count: String(spans.length) };
  const many = spans.length > 1;
  const why = group === undefined ? say(many ? 'gapWhyMany' : 'gapWhy', { ...words, holds: say(files.length > 1 ? 'theyHave' : 'itHas') }) : say(many ? 'groupWhyMany' : 'groupWhy', words);
  const source = say(lost.measured ? 'byWheel' : 'bySpeed');
  return {
    code: 'log.gap',
    subject: group ?? files[0] ?? '',
    severity: severityOf(context, lost),
    verdict: 'proved',
    title: say(group !== undefined ? 'groupTitle' : files.length > 1 ? 'gapTitleMany' : 'gapTitle', words),
    span,
    episodes: spans,
    /* Known to a sample at either end. */
    measure: { value: seconds, low: Math.max(0, seconds - spans.length), high: seconds, unit: 's', expected: 0 },
    consequence: lost.area === undefined
      ? { text: say('gapWay', { metres: quantity.length(lost.distance, 0), source }) }
      : { areaHa: lost.area / 1e4, text: say('gapArea', { area: quantity.area(lost.area), source }) },
    explanation: why + recorderText(context, gap),
    excludes: [say('notKeyOff'), ...(moved > context.options.movedMetres ? [say('notStanding', { metres: quantity.length(moved, 0) })] : [])],
    cannotTell: say('gapCannot'),
    decidingCheck: say('gapCheck'),
    cautions: [cautions.K1],
    channels: gap.channels.slice(0, 12).map(({ id }) => id),
    evidence: [sampleTrace(context, gap)],
  };
}

/** Whether the recorder or the senders fell silent, when the reading knows. */
function recorderText({ say, logs, gaps }: LogQualityContext, { files, group, spans }: Gap): string {
  if (logs.length === 0 || group !== undefined) return '';
  const total = spans.every((span) => gaps.some((gap) => files.some((file) => file.includes(gap.file)) && gap.span.start < span.end && span.start < gap.span.end));
  return say(files.length > 1 ? (total ? 'gapTotalMany' : 'gapSendersMany') : total ? 'gapTotal' : 'gapSenders');
}

/** Samples of the silent channels, two minutes either side of the first gap. */
function sampleTrace({ say, timeline }: LogQualityContext, { files, spans, channels }: Gap): TraceEvidence {
  const [first = { start: 0, end: 0 }] = spans;
  const span = { start: Math.max(0, Math.floor(first.start) - 120), end: Math.min(timeline.length, Math.ceil(Math.min(first.end, first.start + 1800)) + 120) };
  const counts = Array.from({ length: Math.max(1, span.end - span.start) }, () => 0);
  for (const { time } of channels) {
    for (let i = Math.max(0, indexAtOrBefore(time, span.start)); i < time.length && (time[i] as number) < span.end; i++) {
      const second = Math.floor(time[i] as number) - span.start;
      if (second >= 0 && second < counts.length) counts[second] = (counts[second] as number) + 1;
    }
  }
  return {
    kind: 'trace', title: say('gapTrace', { file: files.join(say('and')) }), unit: '1/s', span, shaded: intersectSpans(spans, [span]), levels: [],
    series: [{ label: say('gapLabel'), x: counts.map((_, k) => span.start + k + 0.5), y: counts, style: 'steps', role: 'subject' }],
  };
}
