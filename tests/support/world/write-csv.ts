import type { Channel } from '../../../shared/channel.ts';
import { fromSi } from '../../../shared/units.ts';
import type { LogClock, World } from './world.ts';

export interface CsvOptions {
  /** The cart's own log, the tractor's, or both in one. */
  readonly file: 'cart' | 'tractor' | 'one';
}

interface Column {
  readonly heading: string;
  readonly channel: Channel;
  readonly text: (value: number) => string;
}

/** Unit as written and decimals, by channel; others in SI with three decimals. */
const WRITTEN: readonly (readonly [RegExp, string, number])[] = [
  [/^gnss\.l(at|on)$/, 'deg', 8],
  [/^gnss\.course$/, 'deg', 3],
  [/^gnss\.(fix|sats)$/, '1', 0],
  [/^gnss\.hdop$/, '1', 2],
  [/\.temperature$/, '°C', 2],
  [/^(fan|engine)\..*|^meter\.\d+\.speed$/, 'rpm', 2],
  [/\.target$/, 'kg/ha', 2],
  [/\.mass$|\.cell\.\d+$/, 'kg', 0],
  [/\.pressure$/, 'kPa', 3],
  [/^meter\.\d+\.turns$/, 'turn', 2],
  [/^section\.|^run\.\d+\.blocked$|^implement\./, '1', 0],
  [/^run\.\d+\.count$|^wheel\.pulses$/, '', 0],
];

/** A day as CSV (contract 3): one row per moment at which anything was sampled, empty cell = no sample. */
export function writeCsv(world: World, options: CsvOptions): string {
  const channels = world.channels.filter((channel) => options.file === 'one' || channel.source.file.startsWith(options.file));
  const columns = channels.map(columnOf);
  const clock = options.file === 'one' ? world.clocks.tractor : world.clocks[options.file];
  const times = momentsOf(channels);
  const at = new Uint32Array(columns.length);
  const lines: string[] = [['time', ...columns.map((column) => column.heading)].join(',')];
  for (const time of times) {
    let line = stamp(world.dayStart, time, clock);
    for (let c = 0; c < columns.length; c++) {
      const { channel, text } = columns[c] as Column;
      let value = Number.NaN;
      line += ',';
      /* Of a repeat and a change in the same millisecond the later one stands. */
      for (let i = at[c] as number; i < channel.time.length && channel.time[i] === time; i++) {
        value = channel.value[i] as number;
        at[c] = i + 1;
      }
      if (!Number.isNaN(value)) line += text(value);
    }
    lines.push(line);
  }
  return `${lines.join('\n')}\n`;
}

function columnOf(channel: Channel): Column {
  const rule = WRITTEN.find(([pattern]) => pattern.test(channel.id));
  const unit = rule?.[1] ?? channel.unit;
  const decimals = rule?.[2] ?? 3;
  const isPlain = unit === '' || unit === '1';
  /* gnss.lat and gnss.lon are degrees inside too. */
  const factor = isPlain || channel.unit === 'deg' ? 1 : 1 / ((fromSi(2, unit) ?? 2) - (fromSi(1, unit) ?? 1));
  const offset = isPlain || channel.unit === 'deg' ? 0 : fromSi(0, unit) ?? 0;
  const text = decimals === 0 ? (value: number) => String(Math.round(value / factor + offset)) : (value: number) => (value / factor + offset).toFixed(decimals);
  return { heading: isPlain ? channel.id : `${channel.id} [${unit}]`, channel, text };
}

/** All different sample times, ascending. */
function momentsOf(channels: readonly Channel[]): Float64Array {
  const arrays = [...new Set(channels.map((channel) => channel.time))];
  let total = 0;
  for (const array of arrays) total += array.length;
  const all = new Float64Array(total);
  let at = 0;
  for (const array of arrays) {
    all.set(array, at);
    at += array.length;
  }
  all.sort();
  let kept = 0;
  for (let i = 0; i < all.length; i++) if (i === 0 || all[i] !== all[kept - 1]) all[kept++] = all[i] as number;
  return all.slice(0, kept);
}

/** ISO 8601 as this log's clock shows it; a log in local time carries no zone. */
function stamp(dayStart: number, time: number, clock: LogClock): string {
  const shown = clockShows(dayStart, time, clock);
  const text = new Date(Math.round(shown * 1000)).toISOString();
  return clock.zoneHours === 0 ? text : text.slice(0, -1);
}

/** Seconds since 1970 that a log writes for a true moment. */
export function clockShows(dayStart: number, time: number, clock: LogClock): number {
  return dayStart + time + clock.offset + (clock.driftPerHour * time) / 3600 + clock.zoneHours * 3600;
}
