import type { Channel } from '../../shared/channel.ts';
import type { Day, LogSummary, MessageSummary } from '../../shared/day.ts';
import { InputError } from '../core/errors.ts';
import { compareNaturally } from '../../shared/glob.ts';
import { toIso } from '../../shared/clock.ts';
import { alignClocks, type AlignedClock } from './clock-alignment.ts';
import { addedAt, corrected } from './clock-line.ts';
import { placeChannels } from './channel-placement.ts';
import { FAR, type ClockPlacement } from './clock-placement.ts';
import { senderOf } from './shared-signal.ts';

/** One log as read, before it is put on the day's clock. */
export interface LogReading {
  readonly summary: Omit<LogSummary, 'start' | 'end' | 'clockOffset' | 'clock' | 'notes'>;
  readonly notes: readonly string[];
  readonly placement: ClockPlacement;
  /** Stretches without a record, seconds as logged. */
  readonly gaps: readonly { readonly start: number; readonly end: number }[];
  /** Times as logged; of one id the most trusted first. */
  readonly channels: readonly Channel[];
  readonly messages: readonly MessageSummary[];
}

interface Candidate {
  readonly channel: Channel;
  /** Which of the logs; two of them may have the same name. */
  readonly log: number;
  /** Place among the channels of its id in its own log, and part after clock steps: what the sender's rank is. */
  readonly rank: number;
  readonly part: number;
}

/** s; coverage is counted in cells of this length that hold a value. */
const COVERAGE_CELL = 60;

/** A log with its clock put right; `repeats`: whether another log before it holds the same bytes. */
interface PlacedLog {
  readonly reading: LogReading;
  readonly aligned: AlignedClock;
  readonly repeats: boolean;
}

/** Several logs → one day on one clock. The readings' channels must not be used afterwards. */
export function assembleDay(readings: readonly LogReading[]): Day {
  const logs = placed(readings);
  const dated = logs.filter(({ aligned }) => aligned.isDated);
  refuseDifferentDays(dated);
  const shared = dated.length > 0 ? dated : logs.filter(({ aligned }) => aligned.isShared);
  const begin = shared.length === 0 ? 0 : Math.min(...shared.map(({ aligned }) => aligned.clock.earliest));
  const start = dated.length === 0 ? 0 : Math.floor(begin);
  const toDay = (log: PlacedLog): number => (shared.includes(log) ? -(dated.length === 0 ? begin : start) : -log.aligned.clock.earliest);

  const candidates = logs.flatMap((log, place) => (log.repeats ? [] : ranked(place, placeChannels(log.reading.channels, log.aligned.clock, toDay(log)))));
  const channels = inOrderOfTrust(joinedOverFiles(candidates));
  const ends = logs.flatMap((log) => (Number.isNaN(log.aligned.clock.latest) ? [] : [log.aligned.clock.latest + toDay(log)]));
  const lastSample = channels.reduce((latest, { time }) => Math.max(latest, time[time.length - 1] ?? 0), 0);
  return {
    start,
    duration: Math.max(0, lastSample, ...ends),
    logs: logs.map((log) => summaryOf(log, dated.length > 0)),
    channels,
    messages: readings.flatMap(({ messages }) => messages),
    gaps: logs.flatMap((log) => gapsOf(log, toDay(log))).sort((a, b) => a.span.start - b.span.start),
  };
}

function placed(readings: readonly LogReading[]): readonly PlacedLog[] {
  const first = new Map<string, number>();
  readings.forEach(({ summary }, i) => {
    if (!first.has(summary.sha256)) first.set(summary.sha256, i);
  });
  const fresh = [...first.values()];
  const clocks = alignClocks(fresh.map((i) => readings[i] as LogReading));
  return readings.map((reading, i) => ({
    reading,
    aligned: clocks[fresh.indexOf(first.get(reading.summary.sha256) ?? i)] as AlignedClock,
    repeats: first.get(reading.summary.sha256) !== i,
  }));
}

function refuseDifferentDays(logs: readonly PlacedLog[]): void {
  const ordered = [...logs].sort((a, b) => a.aligned.clock.earliest - b.aligned.clock.earliest);
  for (const [i, later] of ordered.entries()) {
    const earlier = ordered[i - 1];
    if (earlier === undefined || later.aligned.clock.earliest - earlier.aligned.clock.latest <= FAR) continue;
    const date = ({ aligned }: PlacedLog): string => toIso(aligned.clock.earliest).slice(0, 10);
    throw new InputError('different-days', `${earlier.reading.summary.file} is of ${date(earlier)} and ${later.reading.summary.file} of ${date(later)}: they are not of one day.`, 'Give the logs of one day at a time.');
  }
}

function summaryOf({ reading: { summary, placement, notes }, aligned, repeats }: PlacedLog, othersHaveDates: boolean): LogSummary {
  const main = aligned.clock.stretches.find(({ first, last }) => first >= placement.start && last <= placement.end);
  return {
    ...summary,
    start: placement.hasWallClock ? placement.start : Number.NaN,
    end: placement.hasWallClock ? placement.end : Number.NaN,
    clockOffset: main === undefined ? 0 : addedAt(main.first, main.line),
    ...(aligned.estimate === undefined ? {} : { clock: aligned.estimate }),
    notes: [
      ...(repeats ? ['Holds the same bytes as another of the logs: counted once.'] : []),
      ...(othersHaveDates && !aligned.isDated ? ['Put at the start of the first log that has a wall clock, for want of anything better.'] : []),
      ...placement.notes,
      ...aligned.notes,
      ...notes,
    ],
  };
}

/** s; contract: shorter pauses are no gaps. */
const SHORTEST_GAP = 5;

/** From the last record before to the first after; where the clock was set meanwhile the true pause counts, not the jump. */
function gapsOf({ reading, aligned }: PlacedLog, toDay: number): Day['gaps'][number][] {
  const { placement, gaps, summary } = reading;
  const { stretches } = aligned.clock;
  const gap = (start: number, end: number): Day['gaps'] => (end - start > SHORTEST_GAP ? [{ file: summary.file, span: { start: start + toDay, end: end + toDay } }] : []);
  const whileSet = stretches.flatMap((next, k) => {
    const before = stretches[k - 1];
    return before === undefined || before.isApart || next.isApart || before.line === next.line ? [] : gap(corrected(before.last, before.line), corrected(next.first, next.line));
  });
  const others = gaps.filter(({ start, end }) => start >= placement.start && end <= placement.end).flatMap(({ start, end }) => {
    const before = stretches.find(({ first, last }) => start >= first && start <= last);
    const after = stretches.find(({ first, last }) => end >= first && end <= last);
    return before === undefined || before.line !== after?.line ? [] : gap(corrected(start, before.line), corrected(end, before.line));
  });
  return [...whileSet, ...others];
}

function ranked(log: number, placed: ReturnType<typeof placeChannels>): Candidate[] {
  const seen = new Map<string, number>();
  const rankOf = new Map<string, number>();
  return placed.map(({ channel, part }) => {
    /* Parts of one channel follow each other and share its rank. */
    const key = `${channel.id}\n${senderOf(channel.source)}`;
    const rank = rankOf.get(key) ?? seen.get(channel.id) ?? 0;
    if (!rankOf.has(key)) {
      rankOf.set(key, rank);
      seen.set(channel.id, rank + 1);
    }
    return { channel, log, rank, part };
  });
}

/** Logs that follow each other, as a recorder that starts a new file every hour writes them, give one channel per sender. */
function joinedOverFiles(candidates: readonly Candidate[]): readonly Candidate[] {
  const groups = new Map<string, Candidate[]>();
  for (const candidate of candidates) {
    const { channel } = candidate;
    const key = `${channel.id}\n${senderOf(channel.source)}\n${channel.source.note ?? ''}`;
    groups.set(key, [...(groups.get(key) ?? []), candidate]);
  }
  return [...groups.values()].flatMap(joinedInTime);
}

function joinedInTime(members: readonly Candidate[]): Candidate[] {
  const chains: Candidate[][] = [];
  for (const member of [...members].sort((a, b) => begin(a) - begin(b))) {
    const chain = chains.find((candidate) => {
      const before = candidate.at(-1);
      return before !== undefined && before.log !== member.log && finish(before) <= begin(member);
    });
    if (chain === undefined) chains.push([member]);
    else chain.push(member);
  }
  return chains.map(joined);
}

const begin = ({ channel }: Candidate): number => channel.time[0] ?? 0;
const finish = ({ channel }: Candidate): number => channel.time[channel.time.length - 1] ?? 0;

function joined(chain: readonly Candidate[]): Candidate {
  const [first] = chain;
  if (first === undefined || chain.length === 1) return first as Candidate;
  const length = chain.reduce((sum, { channel }) => sum + channel.time.length, 0);
  const time = new Float64Array(length);
  const value = chain.every(({ channel }) => channel.value instanceof Float32Array) ? new Float32Array(length) : new Float64Array(length);
  let at = 0;
  for (const { channel } of chain) {
    time.set(channel.time, at);
    value.set(channel.value, at);
    at += channel.time.length;
  }
  const files = chain.map(({ channel }) => channel.source.file);
  const file = files.length <= 3 ? files.join(' + ') : `${files[0]} + ${files.length - 1} more`;
  return { channel: { ...first.channel, source: { ...first.channel.source, file }, time, value }, log: first.log, rank: Math.min(...chain.map(({ rank }) => rank)), part: first.part };
}

/** By name; of one name: main parts first, then by the sender's rank in its log, then by time covered, then by samples. */
function inOrderOfTrust(candidates: readonly Candidate[]): readonly Channel[] {
  const weighed = candidates.map((candidate) => ({ ...candidate, ...weight(candidate.channel) }));
  return weighed
    .sort((a, b) => compareNaturally(a.channel.id, b.channel.id) || Math.min(a.part, 1) - Math.min(b.part, 1) || a.rank - b.rank || b.covered - a.covered || b.samples - a.samples)
    .map(({ channel }) => channel);
}

function weight({ time, value }: Channel): { readonly covered: number; readonly samples: number } {
  let covered = 0;
  let samples = 0;
  let cell = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < time.length; i += 1) {
    if (!Number.isFinite(value[i])) continue;
    samples += 1;
    const now = Math.floor((time[i] as number) / COVERAGE_CELL);
    if (now !== cell) covered += 1;
    cell = now;
  }
  return { covered, samples };
}
