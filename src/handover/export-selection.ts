import { parseClock } from '../../shared/clock.ts';
import type { Channel } from '../../shared/channel.ts';
import type { Day } from '../../shared/day.ts';
import { compareNaturally, matchesGlob } from '../../shared/glob.ts';
import { UsageError } from '../core/errors.ts';
import { firstAtOrAfter, meanPerCell } from '../series/resample.ts';

/** What to export, as people write it. */
export interface Selection {
  readonly zone: string;
  /** Globs separated by commas; all channels when absent. */
  readonly channels?: string | undefined;
  readonly from?: string | undefined;
  readonly to?: string | undefined;
  /** `1s`, `0.2s`; every sample when absent. */
  readonly every?: string | undefined;
}

export interface Column {
  readonly channel: Channel;
  /** s from the day's start */
  readonly time: Float64Array;
  readonly value: ArrayLike<number>;
}

/** The selected channels, one per id in natural order, cut to the range and resampled to the step. Throws UsageError. */
export function selectColumns(day: Day, selection: Selection, defaultStep?: number): readonly Column[] {
  const channels = selected(day, selection.channels);
  const from = timeOption(selection.from, 'from', selection.zone, day.start) ?? 0;
  const to = timeOption(selection.to, 'to', selection.zone, day.start) ?? day.duration + 1;
  const step = stepOption(selection.every) ?? defaultStep;
  return channels.map((channel) => (step === undefined ? cut(channel, from, to) : resampled(channel, from, to, step)));
}

/** Unit of a channel in CSV, where rates are kg/ha and the course is in degrees, and the conversion from SI. */
export function exportedUnit(channel: Channel): { readonly unit: string; readonly convert: (si: number) => number } {
  if (channel.unit === 'kg/m²') return { unit: 'kg/ha', convert: (si) => si * 1e4 };
  if (channel.id === 'gnss.course') return { unit: 'deg', convert: (si) => (si * 180) / Math.PI };
  return { unit: channel.unit, convert: (si) => si };
}

function selected(day: Day, globs: string | undefined): readonly Channel[] {
  const wanted = globs?.split(',').map((glob) => glob.trim()) ?? ['*'];
  const byId = new Map<string, Channel>();
  for (const channel of day.channels) {
    if (!byId.has(channel.id) && wanted.some((glob) => matchesGlob(glob, channel.id))) byId.set(channel.id, channel);
  }
  if (byId.size === 0) throw new UsageError('no-channel', `No channel matches "${globs ?? '*'}".`, 'sowtrace inspect lists the channels of a log.');
  return [...byId.values()].sort((a, b) => compareNaturally(a.id, b.id));
}

/** An ISO time, or seconds from the day's start. */
function timeOption(text: string | undefined, name: string, zone: string, dayStart: number): number | undefined {
  if (text === undefined) return undefined;
  const clock = parseClock(text, zone);
  if (clock !== undefined) return clock - dayStart;
  const seconds = Number(text.replace(/s$/, ''));
  if (text !== '' && Number.isFinite(seconds)) return seconds;
  throw new UsageError('bad-time', `--${name} "${text}" is not a time.`, 'Write it as 2026-05-06T12:05:00Z or as seconds from the start.');
}

function stepOption(text: string | undefined): number | undefined {
  if (text === undefined) return undefined;
  const match = /^(\d*\.?\d+)\s*(ms|s|min)?$/.exec(text);
  const factor = { ms: 0.001, s: 1, min: 60 }[match?.[2] ?? 's'] ?? 1;
  const step = Number(match?.[1]) * factor;
  if (match !== null && step >= 0.001) return step;
  throw new UsageError('bad-step', `--every "${text}" is not a step.`, 'Write it as 1s, 0.2s or 1min.');
}

function cut(channel: Channel, from: number, to: number): Column {
  const start = firstAtOrAfter(channel.time, from);
  const end = firstAtOrAfter(channel.time, to);
  return { channel, time: channel.time.subarray(start, end), value: channel.value.subarray(start, end) };
}

function resampled(channel: Channel, from: number, to: number, step: number): Column {
  const cells = Math.max(0, Math.ceil((to - from) / step));
  return { channel, time: Float64Array.from({ length: cells }, (_, k) => from + k * step), value: meanPerCell(channel.time, channel.value, from, step, cells) };
}
