import type { Channel } from '../../shared/channel.ts';
import type { Day, LogSummary } from '../../shared/day.ts';
import type { Span } from '../../shared/span.ts';
import { firstAtOrAfter } from '../series/resample.ts';

/** A stretch of a day as a day of its own: second 0 stays, what lies outside [start, end) was never logged. */
export function sliceDay(day: Day, { start, end }: Span): Day {
  return {
    ...day,
    duration: Math.min(day.duration, end),
    channels: day.channels.map((channel) => sliceChannel(channel, start, end)).filter((channel) => channel.time.length > 0),
    gaps: day.gaps.flatMap(({ file, span }) => {
      const within = { start: Math.max(span.start, start), end: Math.min(span.end, end) };
      return within.end > within.start ? [{ file, span: within }] : [];
    }),
    logs: day.logs.map((log) => sliceLog(log, day.start + start, day.start + end)),
  };
}

function sliceChannel(channel: Channel, start: number, end: number): Channel {
  const from = firstAtOrAfter(channel.time, start);
  const to = firstAtOrAfter(channel.time, end);
  return { ...channel, time: channel.time.subarray(from, to), value: channel.value.subarray(from, to) };
}

const sliceLog = (log: LogSummary, from: number, to: number): LogSummary => ({ ...log, start: Math.max(log.start, from), end: Math.min(log.end, to) });
