import type { Channel } from '../../../shared/channel.ts';
import type { Truth } from './truth.ts';

/** One synthetic day as it would come out of the logs, and what is true about it. */
export interface World {
  /** Seconds from the day's start, SI. `source.file` says which of the two logs a channel stands in. */
  readonly channels: readonly Channel[];
  /** Seconds since 1970 UTC of second 0. */
  readonly dayStart: number;
  /** s */
  readonly duration: number;
  /** Content of setup.json (contract 6). */
  readonly setup: object;
  readonly truth: Truth;
  /** What happened, for people. */
  readonly events: readonly TrueEvent[];
  /** Clock of each log against true time: shown = true + offset + drift × hours since second 0. */
  readonly clocks: Readonly<Record<'cart' | 'tractor', LogClock>>;
}

export interface LogClock {
  /** s */
  readonly offset: number;
  readonly driftPerHour: number;
  readonly zoneHours: number;
}

export interface TrueEvent {
  readonly start: number;
  readonly end: number;
  readonly text: string;
}
