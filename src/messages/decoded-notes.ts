import type { Channel } from '../../shared/channel.ts';
import { toIso } from '../../shared/clock.ts';
import { clockOffset } from './clock.ts';
import { SIMULATED_SPEED } from './decoders/iso11783-speed.ts';
import { SIMULATED_FIX } from './decoders/nmea2000.ts';

/** s; a log's clock this close to UTC needs no remark. */
const UNREMARKABLE = 2;

/** What a reader of the log should know before trusting its channels. Times in it are as logged. */
export function decodedNotes(channels: readonly Channel[], empty: readonly Channel[]): string[] {
  return [
    ...simulated(channels, 'selected.source', SIMULATED_SPEED, 'The selected speed was simulated: the machine did not move as it says'),
    ...simulated(channels, 'gnss.fix', SIMULATED_FIX, 'The GNSS receiver was playing simulated positions'),
    ...clockNotes(channels),
    ...emptyNotes(channels, empty),
  ];
}

function simulated(channels: readonly Channel[], id: string, value: number, sentence: string): string[] {
  return channels.filter((channel) => channel.id === id).flatMap((channel) => {
    const first = channel.value.indexOf(value);
    if (first < 0) return [];
    const last = channel.value.lastIndexOf(value);
    return [`${sentence}, ${toIso(channel.time[first] as number)} to ${toIso(channel.time[last] as number)}${from(channel)}.`];
  });
}

/** Only of the clock most to be trusted. */
function clockNotes(channels: readonly Channel[]): string[] {
  const channel = channels.find((candidate) => candidate.id === 'clock.offset');
  const measured = channel === undefined ? undefined : clockOffset(channel.value);
  if (channel === undefined || measured === undefined) return [];
  const { offset, low, high, n, first, last } = measured;
  if (Math.max(Math.abs(offset), Math.abs(last - first)) < UNREMARKABLE) return [];
  const moved = Math.abs(last - first) < UNREMARKABLE ? '' : `, ${first.toFixed(1)} s at its start and ${last.toFixed(1)} s at its end`;
  return [`The log's clock needs ${offset.toFixed(1)} s (95 % of ${n} comparisons between ${low.toFixed(1)} and ${high.toFixed(1)} s) added to give UTC${moved}${from(channel)}.`];
}

/** One sentence for all senders that only ever said 'not available'. */
function emptyNotes(channels: readonly Channel[], empty: readonly Channel[]): string[] {
  const given = new Set(channels.map((channel) => channel.id));
  const missing = [...new Set(empty.map((channel) => channel.id))].filter((id) => !given.has(id)).sort();
  return missing.length === 0 ? [] : [`Sent, but always 'not available': ${missing.join(', ')}.`];
}

function from(channel: Channel): string {
  const { bus, sourceAddress } = channel.source;
  return `${sourceAddress === undefined ? '' : ` (address ${sourceAddress}`}${bus === undefined || sourceAddress === undefined ? '' : ` on ${bus}`}${sourceAddress === undefined ? '' : ')'}`;
}
