import { toIso } from '../../shared/clock.ts';
import type { Channel } from '../../shared/channel.ts';
import type { Day, LogSummary, MessageSummary } from '../../shared/day.ts';
import { compareNaturally } from '../../shared/glob.ts';
import { formatNumber, quantity, renderText, shownUnit, type Reading } from '../../shared/text.ts';

const LISTED_BAD_RECORDS = 10;

/** What is in the logs of a day, as text. */
export function inspection(day: Day, reading: Reading): string {
  const parts = day.logs.map(logText);
  parts.push(messagesText(day.messages), channelsText(day, reading), gapsText(day, reading));
  return `${parts.filter((part) => part !== '').join('\n\n')}\n`;
}

function logText(log: LogSummary): string {
  const span = Number.isFinite(log.start) ? `${toIso(log.start)} to ${toIso(log.end)}` : 'no wall clock in this log';
  const { bytes } = log;
  return [
    `${log.file}  ${log.format}  ${span}`,
    `   ${formatNumber(log.records, 0)} records, ${formatNumber(log.badRecords, 0)} bad`,
    `   bytes: ${formatNumber(bytes.total, 0)} = ${formatNumber(bytes.accepted, 0)} used + ${formatNumber(bytes.ignored, 0)} left out by rule + ${formatNumber(bytes.rejected, 0)} rejected`,
    `   sha256 ${log.sha256}`,
    ...(log.clockOffset === 0 || !Number.isFinite(log.start) ? [] : [`   clock shifted by ${formatNumber(log.clockOffset, 2)} s to fit the day`]),
    ...log.notes.map((note) => `   ${note}`),
    ...log.bad.slice(0, LISTED_BAD_RECORDS).map((bad) => `   bad: ${bad.line === undefined ? '' : `line ${bad.line}, `}byte ${bad.offset}: ${bad.reason}`),
    ...(log.badRecords > LISTED_BAD_RECORDS ? [`   … and ${formatNumber(log.badRecords - LISTED_BAD_RECORDS, 0)} more`] : []),
  ].join('\n');
}

function messagesText(messages: readonly MessageSummary[]): string {
  if (messages.length === 0) return '';
  const rows = [...messages].sort((a, b) => b.count - a.count).map((message) => {
    const what = message.pgn === undefined ? `id ${(message.id ?? 0).toString(16).toUpperCase()}` : `PGN ${message.pgn}`;
    const from = message.sourceAddress === undefined ? '' : `from ${message.sourceAddress}`;
    const seconds = message.last - message.first;
    const rate = seconds > 0 ? `${formatNumber((message.count - 1) / seconds, 1)}/s` : '';
    return `   ${message.bus.padEnd(8)} ${what.padEnd(12)} ${from.padEnd(9)} ${formatNumber(message.count, 0).padStart(10)} ${rate.padStart(9)}  ${message.decoded ? 'decoded ' : '        '} ${message.name}`.trimEnd();
  });
  return ['Messages', ...rows].join('\n');
}

function channelsText(day: Day, reading: Reading): string {
  if (day.channels.length === 0) return 'Channels\n   none: no heading or message in these logs is known. Give --columns or --signals.';
  const rows = [...day.channels].sort((a, b) => compareNaturally(a.id, b.id)).map((channel) => channelRow(channel, reading));
  return ['Channels', ...rows].join('\n');
}

function channelRow(channel: Channel, reading: Reading): string {
  const shown = shownUnit(channel.unit, reading.units);
  const { least, most, known } = extremes(channel.value);
  const range = known === 0 ? 'no value' : `${formatNumber(shown.convert(least), 2)} to ${formatNumber(shown.convert(most), 2)} ${shown.label}`;
  const seconds = (channel.time[channel.time.length - 1] ?? 0) - (channel.time[0] ?? 0);
  const rate = seconds > 0 ? `${formatNumber((channel.time.length - 1) / seconds, 1)}/s` : '';
  return `   ${channel.id.padEnd(22)} ${formatNumber(known, 0).padStart(10)} values ${rate.padStart(8)}  ${range.padEnd(34)} ${sourceText(channel)}`;
}

function extremes(values: ArrayLike<number>): { least: number; most: number; known: number } {
  let least = Infinity;
  let most = -Infinity;
  let known = 0;
  for (let i = 0; i < values.length; i++) {
    const value = values[i] as number;
    if (Number.isNaN(value)) continue;
    known++;
    if (value < least) least = value;
    if (value > most) most = value;
  }
  return { least, most, known };
}

/** Where a channel came from, in words. */
function sourceText(channel: Channel): string {
  const { source } = channel;
  const parts = [source.file, source.column === undefined ? '' : `"${source.column}"`, source.bus ?? '', source.pgn === undefined ? '' : `PGN ${source.pgn}`, source.sourceAddress === undefined ? '' : `sender ${source.sourceAddress}`];
  return parts.filter((part) => part !== '').join(', ');
}

function gapsText(day: Day, reading: Reading): string {
  if (day.gaps.length === 0) return '';
  const rows = day.gaps.map((gap) => renderText(`   ${gap.file}: nothing for ${quantity.duration(gap.span.end - gap.span.start)} from ${quantity.clock(gap.span.start)}`, reading));
  return ['Gaps', ...rows].join('\n');
}
