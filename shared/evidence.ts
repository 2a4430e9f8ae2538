import type { Span } from './span.ts';

/**
 * What proves a finding: plain data, one screen or page element per kind, never empty.
 * Times are seconds from the day's start, other values in the unit named beside them (null = no value there).
 */
export type Evidence = TraceEvidence | XyEvidence | HistogramEvidence | RunsEvidence | TableEvidence | MapEvidence;

export interface EvidenceSeries {
  readonly label: string;
  readonly x: readonly number[];
  readonly y: readonly (number | null)[];
  /** Bounds of a 95 % band, same length as `y`. */
  readonly low?: readonly (number | null)[];
  readonly high?: readonly (number | null)[];
  readonly style: 'line' | 'points' | 'steps';
  /** `subject` = the one the finding is about; `witness` = what it is compared with. */
  readonly role: 'subject' | 'witness' | 'limit';
}

/** Something over time; `shaded` are the finding's own stretches. */
export interface TraceEvidence {
  readonly kind: 'trace';
  readonly title: string;
  readonly unit: string;
  readonly span: Span;
  readonly shaded: readonly Span[];
  readonly series: readonly EvidenceSeries[];
  /** Horizontal reference lines, e.g. a fan floor. */
  readonly levels: readonly { readonly label: string; readonly value: number }[];
}

/** One quantity against another, e.g. scale against ticket. */
export interface XyEvidence {
  readonly kind: 'xy';
  readonly title: string;
  readonly x: { readonly label: string; readonly unit: string };
  readonly y: { readonly label: string; readonly unit: string };
  readonly series: readonly EvidenceSeries[];
  readonly lines: readonly { readonly label: string; readonly slope: number; readonly intercept: number }[];
}

export interface HistogramEvidence {
  readonly kind: 'histogram';
  readonly title: string;
  readonly label: string;
  readonly unit: string;
  /** One more than there are counts, ascending. */
  readonly edges: readonly number[];
  readonly counts: readonly number[];
  readonly levels: readonly { readonly label: string; readonly value: number }[];
}

/** Every run over time relative to its tower mates: `ratio[i][j]` is run `runs[i]` in time cell `j`. */
export interface RunsEvidence {
  readonly kind: 'runs';
  readonly title: string;
  readonly runs: readonly number[];
  /** Tower of each run, same order. */
  readonly towers: readonly string[];
  /** Cell starts; one more than there are cells. */
  readonly time: readonly number[];
  readonly ratio: readonly (readonly (number | null)[])[];
  readonly highlighted: readonly number[];
  readonly shaded: readonly Span[];
}

export interface TableEvidence {
  readonly kind: 'table';
  readonly title: string;
  readonly columns: readonly { readonly label: string; readonly unit?: string; readonly digits?: number }[];
  readonly rows: readonly (readonly (string | number | null)[])[];
}

/** A column of seconds from the day's start under a heading that means an instant: read as clock times. */
export const isInstant = ({ label, unit }: TableEvidence['columns'][number]): boolean => unit === 's' && /^(?:start|end|time|from|to|when|at|began|ended)$/i.test(label);

/** Local plane in metres east and north of `origin`. */
export interface MapEvidence {
  readonly kind: 'map';
  readonly title: string;
  readonly origin: { readonly latitude: number; readonly longitude: number };
  readonly lines: readonly { readonly label: string; readonly role: 'path' | 'subject'; readonly points: readonly (readonly [number, number])[] }[];
  readonly areas: readonly { readonly label: string; readonly role: 'covered' | 'subject'; readonly points: readonly (readonly [number, number])[] }[];
}
