import type { Channel } from './channel.ts';
import type { CheckReport, Finding, Measurement } from './finding.ts';
import type { Interval, Span } from './span.ts';

/** One log file as read. `bytes` = accepted + rejected + ignored, to the byte. */
export interface LogSummary {
  readonly file: string;
  /** Format id, e.g. `candump`, `csv`. */
  readonly format: string;
  /** SHA-256 of the decompressed bytes, hex. */
  readonly sha256: string;
  /** Seconds since 1970 UTC of first and last record as logged; NaN when the log has no wall clock. */
  readonly start: number;
  readonly end: number;
  readonly records: number;
  readonly badRecords: number;
  readonly bytes: ByteAccount;
  /** The first bad records, at most 1,000, with place and reason. */
  readonly bad: readonly BadRecord[];
  /** Seconds that were added to this log's own clock to align it with the day's. */
  readonly clockOffset: number;
  /** What was measured of this log's clock, where it could be compared; present also when nothing had to be added. */
  readonly clock?: ClockEstimate;
  readonly notes: readonly string[];
  /** Columns of a CSV whose headings name no channel, with channels that may be meant, most likely first. */
  readonly unknownColumns?: readonly { readonly heading: string; readonly suggestions: readonly string[] }[];
}

/** How a log's clock stands against the day's, with 95 % intervals. */
export interface ClockEstimate {
  /** Seconds to add to the log's times at its first record. */
  readonly offset: number;
  readonly low: number;
  readonly high: number;
  /** Seconds more to add with each hour: negative = the log's clock gains. Left out when too short to tell. */
  readonly driftPerHour?: number;
  readonly driftLow?: number;
  readonly driftHigh?: number;
  /** Hours its clock face is ahead of the day's by zone (quarters of an hour); −6 = it shows UTC−6. Left out when none. */
  readonly zoneHours?: number;
  readonly from: 'speed' | 'lift' | 'engine' | 'gnss-time';
  /** The log it was compared with; left out for GNSS time. */
  readonly against?: string;
  /** Comparisons. */
  readonly n: number;
  /** Logged times (seconds since 1970, or from the log's start) from which on something else is added: the clock was set. */
  readonly restarts: readonly { readonly at: number; readonly offset: number }[];
}

export interface ByteAccount {
  readonly total: number;
  readonly accepted: number;
  readonly rejected: number;
  readonly ignored: number;
}

export interface BadRecord {
  /** Byte offset in the decompressed file. */
  readonly offset: number;
  /** 1-based line, for text formats. */
  readonly line?: number;
  readonly reason: string;
}

/** Everything read from the logs of one day, on one clock. */
export interface Day {
  /** Seconds since 1970 UTC of second 0 of every channel. */
  readonly start: number;
  /** Length in seconds. */
  readonly duration: number;
  readonly logs: readonly LogSummary[];
  /** All channels; when several senders give the same quantity, the one to trust comes first. */
  readonly channels: readonly Channel[];
  /** CAN identifiers seen, for `inspect`. */
  readonly messages: readonly MessageSummary[];
  /** Stretches without any record in a log. */
  readonly gaps: readonly { readonly file: string; readonly span: Span }[];
}

export interface MessageSummary {
  readonly file: string;
  readonly bus: string;
  readonly pgn?: number;
  readonly id?: number;
  readonly sourceAddress?: number;
  readonly name: string;
  readonly count: number;
  readonly first: number;
  readonly last: number;
  /** Whether channels were made from it. */
  readonly decoded: boolean;
}

/** What really went into the ground, per product. */
export interface ProductSummary {
  readonly tank: string;
  readonly name?: string;
  readonly appliedKgPerHa?: Interval;
  readonly targetKgPerHa?: number;
  readonly dispensedKg?: Interval;
  /** The applied rate by every route the day allows (trade.md a.2). */
  readonly routes?: readonly RateRoute[];
  /** Applied rate between two fills, and per field. */
  readonly fills?: readonly RateStretch[];
  readonly fields?: readonly RateStretch[];
}

/** How much per hectare went in, as one chain of measurement says. */
export interface RateRoute {
  /** Who weighed or counted, e.g. `tank scale`, `meter turns × entered mass per turn`, `weigh tickets`, `run counts`. */
  readonly mass: string;
  /** Whose area it was divided by, e.g. `GNSS distance × width`. */
  readonly area: string;
  readonly kgPerHa: Interval;
  /** What this route cannot see. */
  readonly blindTo?: string;
}

/** One fill or one field. */
export interface RateStretch extends Span {
  readonly name: string;
  readonly areaHa: number;
  readonly appliedKgPerHa?: Interval;
  readonly dispensedKg?: Interval;
}

export interface DaySummary {
  readonly areaHa: number;
  readonly workingHours: number;
  readonly products: readonly ProductSummary[];
}

/** The whole answer for one day. */
export interface Analysis {
  readonly day: Day;
  readonly summary: DaySummary;
  readonly findings: readonly Finding[];
  readonly measurements: readonly Measurement[];
  readonly checks: readonly CheckReport[];
  /** Named stretches for the lanes of the viewer. */
  readonly episodes: EpisodeLanes;
}

export interface EpisodeLanes {
  readonly working: readonly Span[];
  readonly turning: readonly Span[];
  readonly parked: readonly Span[];
  readonly filling: readonly (Span & { readonly tank: string; readonly massKg: number })[];
  readonly gaps: readonly Span[];
}
