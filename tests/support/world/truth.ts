import type { FindingCode, Severity } from '../../../shared/finding.ts';

/** What a day's analysis has to say and must not say. Times are seconds from the day's start. */
export interface Truth {
  readonly expected: readonly ExpectedFinding[];
  /** Must not appear as `watch` or `action`. `code` is a regular expression over contract 8 codes, `subject` one over subjects. */
  readonly mustNot: readonly { readonly code: string; readonly subject?: string }[];
  /** Neither needed nor wrong: honest by-products of the planted faults. */
  readonly may: readonly { readonly code: string; readonly subject?: string }[];
  /** Nothing at all may be flagged (clean day): no action, no watch, at most 3 info. */
  readonly clean: boolean;
  /** Exact figures by name, unit in the name, e.g. `tank1.appliedKgPerHa`. */
  readonly exact: Readonly<Record<string, number>>;
}

export interface ExpectedFinding {
  /** Any of these is right. */
  readonly codes: readonly FindingCode[];
  /** A regular expression over subjects; most are plain names. */
  readonly subject: string;
  readonly start?: { readonly value: number; readonly tolerance: number };
  readonly end?: { readonly value: number; readonly tolerance: number };
  readonly measure?: { readonly value: number; readonly tolerance: number };
  /** Hectares, to ±10 % unless told otherwise. */
  readonly areaHa?: { readonly value: number; readonly tolerance: number };
  readonly massKg?: { readonly value: number; readonly tolerance: number };
  readonly severityAtLeast: Severity;
}

export const near = (value: number, tolerance: number): { readonly value: number; readonly tolerance: number } => ({ value, tolerance });
