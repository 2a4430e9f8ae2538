import type { DaySummary, LogSummary } from './day.ts';
import type { CheckReport, Finding, Measurement } from './finding.ts';

/** A day that was kept, as lists show it. */
export interface CaseListing {
  /** Made of the logs' SHA-256 values, so that the same logs are the same case whatever their names. */
  readonly id: string;
  /** The machine's name of the setup, `unnamed` without one. */
  readonly machine: string;
  /** Calendar day of the first record in the case's zone, `YYYY-MM-DD`; `undated` when the logs have no wall clock. */
  readonly date: string;
  readonly zone: string;
  /** Names of the logs, joined. */
  readonly name: string;
  readonly logs: readonly Pick<LogSummary, 'file' | 'sha256' | 'format'>[];
  /** Seconds since 1970 UTC of second 0, and length in seconds. */
  readonly start: number;
  readonly duration: number;
  /** Milliseconds since 1970 UTC. */
  readonly savedAt: number;
  /** Version of Sowtrace that judged it. */
  readonly version: string;
  readonly actions: number;
  readonly watches: number;
}

/** What a season, a comparison and a fleet need of a case: everything but samples and evidence. */
export interface CaseReadings {
  readonly listing: CaseListing;
  readonly summary: DaySummary;
  readonly measurements: readonly Measurement[];
  readonly findings: readonly Omit<Finding, 'evidence'>[];
  readonly checks: readonly CheckReport[];
  /** setup.json as given. */
  readonly setup?: string;
}

/** Where the tables of a case lie, for engines that read Parquet: absolute paths, checksums compared; and what was found at the machine. */
export interface CaseTables {
  readonly id: string;
  readonly measurements: string;
  readonly findings: string;
  readonly marks: readonly { readonly finding: string; readonly state: string }[];
}

/** A case (or what should be one) that cannot be trusted. */
export interface DamagedCase {
  /** Folder within the store. */
  readonly folder: string;
  /** What is damaged, in one sentence. */
  readonly reason: string;
}

/** How long a removed day can be had back; the next day that is kept or removed after that deletes it. */
export const DAYS_TO_RESTORE = 90;

/** `GET /api/cases`. */
export interface KeptDays {
  /** Folder in which days are kept; left out when this server keeps none. */
  readonly store?: string;
  readonly cases: readonly CaseListing[];
  readonly damaged: readonly DamagedCase[];
  /** Removed, and to be had back. */
  readonly removed: readonly CaseListing[];
}
