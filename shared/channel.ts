import type { Unit } from './units.ts';

/**
 * One measured quantity over the day, as columns.
 * `time` is in seconds from the day's start and never decreases; `value` is in SI (rpm excepted), NaN = not available.
 */
export interface Channel {
  /** Name of contract section 4, e.g. `wheel.speed`, `run.23.count`. */
  readonly id: string;
  readonly unit: Unit;
  readonly source: ChannelSource;
  readonly time: Float64Array;
  readonly value: Float32Array | Float64Array;
}

/** Where a channel's numbers came from, so that every number can be followed back to its bytes. */
export interface ChannelSource {
  /** Name of the log file. */
  readonly file: string;
  /** CSV heading, or task-data element. */
  readonly column?: string;
  /** CAN interface name, e.g. `can0`. */
  readonly bus?: string;
  /** Sender's address on that bus. */
  readonly sourceAddress?: number;
  /** Sender's 64-bit NAME in hex, when an address claim was logged. */
  readonly name?: string;
  readonly pgn?: number;
  readonly spn?: number;
  readonly ddi?: number;
  readonly element?: number;
  /** Why this is not the main part of its quantity, e.g. `after a clock step back`. */
  readonly note?: string;
  /** How the channel was made, when it was computed from other channels rather than read. */
  readonly derivedFrom?: readonly string[];
}
