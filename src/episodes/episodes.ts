import type { Span } from '../../shared/span.ts';

/** Stretches of meaning, computed once per day and shared; no detector re-derives 'working' for itself. */
export interface Episodes {
  /** Tool in the ground, product commanded, moving. */
  readonly working: readonly Span[];
  /** Straight working stretches between two turns or stops: the natural independent unit. */
  readonly passes: readonly Pass[];
  /** Turning at the headland: high yaw rate between passes. */
  readonly turning: readonly Span[];
  /** Straight, at constant speed over 1 m/s, good GNSS: where speeds may be compared. Lifted or not. */
  readonly steady: readonly Span[];
  /** Standing still for at least 20 s. */
  readonly parked: readonly Span[];
  /** Product loaded into a tank, by tank id, in time order. */
  readonly fills: (tank: string) => readonly Fill[];
  /** Quiet scale readings, by tank id: standing, nothing loaded or metered. */
  readonly quiet: (tank: string) => readonly QuietReading[];
  /** Meter turning, by meter id. */
  readonly metering: (meter: string) => readonly Span[];
  /** Commanded section edges, in time order. */
  readonly switches: readonly SectionSwitch[];
}

export interface Pass extends Span {
  /** Mean course, rad from north, clockwise. */
  readonly course: number;
  /** m by GNSS. */
  readonly length: number;
}

export interface Fill extends Span {
  readonly tank: string;
  /** Scale before and after, kg, medians of the quiet stretches around it. */
  readonly before: number;
  readonly after: number;
  /** Standard uncertainty of after − before, kg. */
  readonly uncertainty: number;
  /** Topped up while driving: the levels around it are less sure. */
  readonly moving?: true;
}

export interface QuietReading extends Span {
  /** kg, median. */
  readonly mass: number;
  /** Standard uncertainty of the median, kg. */
  readonly uncertainty: number;
}

export interface SectionSwitch {
  readonly section: string;
  /** s from the day's start */
  readonly time: number;
  readonly on: boolean;
}
