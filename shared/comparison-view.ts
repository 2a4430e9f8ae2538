import type { Finding, Measure } from './finding.ts';
import type { Interval } from './span.ts';
import type { UnitSystem } from './text.ts';

/** `GET /api/compare`: two kept days side by side, sentences with their quantities as tokens of `shared/text.ts`. */
export interface ComparisonView {
  readonly before: ComparedHead;
  readonly after: ComparedHead;
  /** The answer in a few sentences; it names values of measurements, so there is one for each reader. */
  readonly answer: Readonly<Record<UnitSystem, string>>;
  /** What changed first, then what cannot be told; what tells of the day's work and is not judged comes last. */
  readonly rows: readonly ComparedRow[];
  /** Measured on one of the two only. */
  readonly onlyBefore: readonly string[];
  readonly onlyAfter: readonly string[];
  /** Entered differently; undefined side = not entered. */
  readonly settings: readonly { readonly name: string; readonly before?: string; readonly after?: string }[];
  readonly isSetupKnown: boolean;
  readonly gone: readonly ComparedFinding[];
  readonly fresh: readonly ComparedFinding[];
  readonly stayed: readonly ComparedFinding[];
  /** Of what is there after, each once. */
  readonly cautions: readonly string[];
  readonly method: string;
}

/** What clock times of a day's sentences need: IANA zone and seconds since 1970 UTC of second 0. */
export interface ComparedHead {
  readonly title: string;
  readonly zone: string;
  readonly start: number;
}

/** JSON knows no NaN and no infinity: null = without a bound. */
export type SentInterval = { readonly [K in keyof Interval]: number | null };

export interface ComparedRow {
  readonly title: string;
  /** One single section or tower of several. */
  readonly isPart: boolean;
  readonly unit: string;
  readonly before: SentInterval;
  readonly after: SentInterval;
  readonly difference: SentInterval;
  /** Left out for what tells of the day's work and not of the machine. */
  readonly verdict?: 'changed' | 'not-shown' | 'cannot-tell';
  /** A smaller change is not worth a walk; in the row's unit. */
  readonly matters?: number;
  /** Why the two cannot be compared: what it was measured with, before and after. */
  readonly unlike?: readonly [string, string];
}

export interface ComparedFinding extends Pick<Finding, 'code' | 'subject' | 'severity' | 'title'> {
  /** Before and after, where both were measured. */
  readonly measures?: readonly [Measure, Measure];
  /** Why the other day's silence says nothing. */
  readonly notLookedAt?: string;
}
