import { parseClock, toIso } from '../../shared/clock.ts';
import type { Channel } from '../../shared/channel.ts';
import type { Day } from '../../shared/day.ts';
import { compareNaturally, matchesGlob } from '../../shared/glob.ts';
import { UsageError } from '../core/errors.ts';
import { meanPerCell } from '../series/resample.ts';

export interface CsvSelection {
  readonly zone: string;
  /** Globs separated by commas; all channels when absent. */
  readonly channels?: string | undefined;
  readonly from?: string | undefined;
  readonly to?: string | undefined;
  /** `1s`, `0.2s`; every sample when absent. */
  readonly every?: string | undefined;
}

/**
 * Channels → CSV of contract section 3, SI units in the headings (gnss.course in deg, meter targets in kg/ha, as CSV has
 * them by default), so that it reads back in. Throws UsageError when the selection names nothing.
 */
export function exportCsv(day: Day, selection: CsvSelection): string {
  const channels = selected(day, selection.channels);
  const from = timeOption(selection.from, 'from', selection.zone, day.start) ?? 0;
  const to = timeOption(selection.to, 'to', selection.zone, day.start) ?? day.duration + 1;
  const step = stepOption(selection.every);
  const columns = channels.map((channel) => (step === undefined ? cut(channel, from, to) : resampled(channel, from, to, step)));
  const lines = [['time', ...channels.map((channel) => `${channel.id} [${csvUnit(channel)}]`)].join(',')];
  const cursors = new Int32Array(columns.length);
  for (;;) {
    const time = earliest(columns, cursors);
    if (time === undefined) break;
    const cells = columns.map((column, index) => {
      const cursor = cursors[index] as number;
      if (column.time[cursor] !== time) return '';
      cursors[index] = cursor + 1;
      return cell(column.value[cursor] as number, channels[index] as Channel);
    });
    if (cells.some((text) => text !== '')) lines.push(`${toIso(day.start + time)},${cells.join(',')}`);
  }
  return `${lines.join('\n')}\n`;
}

interface Column {
  readonly time: Float64Array;
  readonly value: ArrayLike<number>;
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
  const first = channel.time.findIndex((time) => time >= from);
  const after = channel.time.findIndex((time) => time >= to);
  const start = first < 0 ? channel.time.length : first;
  const end = after < 0 ? channel.time.length : after;
  return { time: channel.time.subarray(start, end), value: channel.value.subarray(start, end) };
}

function resampled(channel: Channel, from: number, to: number, step: number): Column {
  const cells = Math.max(0, Math.ceil((to - from) / step));
  return { time: Float64Array.from({ length: cells }, (_, k) => from + k * step), value: meanPerCell(channel.time, channel.value, from, step, cells) };
}

function earliest(columns: readonly Column[], cursors: Int32Array): number | undefined {
  let least: number | undefined;
  for (let i = 0; i < columns.length; i++) {
    const time = (columns[i] as Column).time[cursors[i] as number];
    if (time !== undefined && (least === undefined || time < least)) least = time;
  }
  return least;
}

function csvUnit(channel: Channel): string {
  if (channel.unit === 'kg/m²') return 'kg/ha';
  return channel.id === 'gnss.course' ? 'deg' : channel.unit;
}

function cell(value: number, channel: Channel): string {
  if (Number.isNaN(value)) return '';
  const converted = channel.unit === 'kg/m²' ? value * 1e4 : channel.id === 'gnss.course' ? (value * 180) / Math.PI : value;
  return channel.value instanceof Float32Array ? String(Number(converted.toPrecision(8))) : String(converted);
}
