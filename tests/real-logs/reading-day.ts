import { existsSync, readFileSync } from 'node:fs';
import path from 'node:path';
import { gunzipSync } from 'node:zlib';
import type { Channel } from '../../shared/channel.ts';
import type { Day } from '../../shared/day.ts';
import { readLogs } from '../../src/read-logs.ts';

/** Recordings made by others; the tests that need them are skipped, visibly, where they are absent. */
export const REAL_LOGS = path.resolve(import.meta.dirname, '../../../shared/real-logs');
export const hasRealLogs = existsSync(REAL_LOGS);

export const place = (name: string): string => path.join(REAL_LOGS, name);
export const readDay = (...names: readonly string[]): Promise<Day> => readLogs(names.map(place), { zone: 'UTC' });

export function jsonLines<T>(name: string): readonly T[] {
  return gunzipSync(readFileSync(place(name))).toString('utf8').trim().split('\n').map((line) => JSON.parse(line) as T);
}

export function channelOf(day: Day, id: string, where: (channel: Channel) => boolean = () => true): Channel {
  const found = day.channels.find((channel) => channel.id === id && where(channel));
  if (found === undefined) throw new Error(`no ${id} among ${[...new Set(day.channels.map((channel) => channel.id))].join(', ')}`);
  return found;
}

/** ∫ value dt with each value held until the next sample, at most `longest` seconds. */
export function held(channel: Channel, longest: number): number {
  let sum = 0;
  for (let i = 1; i < channel.time.length; i += 1) {
    const step = (channel.time[i] as number) - (channel.time[i - 1] as number);
    const value = channel.value[i - 1] as number;
    if (step <= longest && Number.isFinite(value)) sum += value * step;
  }
  return sum;
}
