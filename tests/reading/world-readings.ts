import type { Channel } from '../../shared/channel.ts';
import type { LogReading } from '../../src/reading/day-assembly.ts';
import { placeClock } from '../../src/reading/clock-placement.ts';
import { createRecordClock } from '../../src/reading/record-clock.ts';
import { clockShows } from '../support/world/write-csv.ts';
import type { DrivingWorld } from './driving-world.ts';

export interface ReadingOptions {
  readonly file?: string;
  /** True seconds of the day → what the log's clock shows; as the world says when left out. */
  readonly shows?: (time: number) => number;
  /** Whether a moment was recorded. */
  readonly records?: (time: number) => boolean;
  readonly channels?: (id: string) => boolean;
  readonly further?: readonly Channel[];
}

/** One of a synthetic day's two logs as if it had been read, in file order; times are copies. */
export function readingOf(world: DrivingWorld, log: 'cart' | 'tractor', options: ReadingOptions = {}): LogReading {
  const { file = `${log}.csv`, shows = (time) => clockShows(world.dayStart, time, world.clocks[log]), records = () => true, channels: wanted = () => true, further = [] } = options;
  const mapped = new Map<Float64Array, Float64Array>();
  const channels = [...world.channels.filter((channel) => channel.source.file.startsWith(log) && wanted(channel.id)), ...further].map((channel): Channel => {
    const kept = [...channel.time.keys()].filter((i) => records(channel.time[i] as number));
    const isWhole = kept.length === channel.time.length;
    const time = isWhole ? (mapped.get(channel.time) ?? channel.time.map(shows)) : Float64Array.from(kept, (i) => shows(channel.time[i] as number));
    if (isWhole) mapped.set(channel.time, time);
    return { ...channel, source: { ...channel.source, file }, time, value: isWhole ? channel.value : Float64Array.from(kept, (i) => channel.value[i] as number) };
  });
  const clock = createRecordClock();
  const densest = channels.reduce<Float64Array>((most, { time }) => (time.length > most.length ? time : most), new Float64Array());
  clock.observeAll(densest, densest.length);
  const history = clock.history();
  return {
    summary: { file, format: 'csv', sha256: `${file} ${world.dayStart} ${densest[0]}`, records: history.records, badRecords: 0, bytes: { total: 0, accepted: 0, rejected: 0, ignored: 0 }, bad: [] },
    notes: [], placement: placeClock(history), gaps: history.gaps, channels, messages: [],
  };
}
