import type { Channel, ChannelSource } from '../../shared/channel.ts';
import type { Day, LogSummary, MessageSummary } from '../../shared/day.ts';
import { InputError } from '../core/errors.ts';
import { compareNaturally } from '../../shared/glob.ts';
import { toIso } from '../../shared/clock.ts';
import { placeChannels } from './channel-placement.ts';
import { FAR, type ClockPlacement } from './clock-placement.ts';

/** One log as read, before it is put on the day's clock. */
export interface LogReading {
  readonly summary: Omit<LogSummary, 'start' | 'end' | 'clockOffset' | 'notes'>;
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

/** Several logs → one day on one clock. The readings' channels must not be used afterwards. */
export function assembleDay(readings: readonly LogReading[]): Day {
  const dated = readings.filter(({ placement }) => placement.hasWallClock);
  refuseDifferentDays(dated);
  const start = dated.length === 0 ? 0 : Math.floor(Math.min(...dated.map(({ placement }) => placement.earliest)));
  const toDay = ({ placement }: LogReading): number => (placement.hasWallClock ? -start : -placement.earliest);

  const first = new Set<string>();
  const isRepeat = readings.map(({ summary }) => {
    const repeated = first.has(summary.sha256);
    first.add(summary.sha256);
    return repeated;
  });
  const fresh = readings.filter((_, i) => isRepeat[i] !== true);
  const candidates = fresh.flatMap((reading, log) => ranked(log, placeChannels(reading.channels, reading.placement, toDay(reading))));
  const channels = inOrderOfTrust(joinedOverFiles(candidates));
  const ends = readings.flatMap((reading) => (Number.isNaN(reading.placement.latest) ? [] : [reading.placement.latest + toDay(reading)]));
  const lastSample = channels.reduce((latest, { time }) => Math.max(latest, time[time.length - 1] ?? 0), 0);
  return {
    start,
    duration: Math.max(0, lastSample, ...ends),
    logs: readings.map((reading, i) => summaryOf(reading, isRepeat[i] === true, dated.length > 0)),
    channels,
    messages: readings.flatMap(({ messages }) => messages),
    gaps: readings.flatMap((reading) => reading.gaps
      .filter((gap) => gap.start >= reading.placement.start && gap.end <= reading.placement.end)
      .map((gap) => ({ file: reading.summary.file, span: { start: gap.start + toDay(reading), end: gap.end + toDay(reading) } })))
      .sort((a, b) => a.span.start - b.span.start),
  };
}

function refuseDifferentDays(readings: readonly LogReading[]): void {
  const ordered = [...readings].sort((a, b) => a.placement.start - b.placement.start);
  for (const [i, later] of ordered.entries()) {
    const earlier = ordered[i - 1];
    if (earlier === undefined || later.placement.start - earlier.placement.end <= FAR) continue;
    const date = ({ placement }: LogReading): string => toIso(placement.start).slice(0, 10);
    throw new InputError('different-days', `${earlier.summary.file} is of ${date(earlier)} and ${later.summary.file} of ${date(later)}: they are not of one day.`, 'Give the logs of one day at a time.');
  }
}

function summaryOf({ summary, placement, notes }: LogReading, isRepeat: boolean, othersHaveDates: boolean): LogSummary {
  return {
    ...summary,
    start: placement.hasWallClock ? placement.start : Number.NaN,
    end: placement.hasWallClock ? placement.end : Number.NaN,
    clockOffset: 0,
    notes: [
      ...(isRepeat ? ['Holds the same bytes as another of the logs: counted once.'] : []),
      ...(othersHaveDates && !placement.hasWallClock ? ['Put at the start of the first log that has a wall clock, for want of anything better.'] : []),
      ...placement.notes,
      ...notes,
    ],
  };
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

/** All that names a sender within its log. */
function senderOf({ column, bus, sourceAddress, name, pgn, spn, ddi, element }: ChannelSource): string {
  return JSON.stringify([column, bus, name ?? sourceAddress, pgn, spn, ddi, element]);
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
