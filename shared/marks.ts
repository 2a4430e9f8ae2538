/** What somebody found at the machine about a finding. */
export type MarkState = 'confirmed' | 'rejected' | 'fixed';

export interface Mark {
  /** Id of the finding. */
  readonly finding: string;
  readonly state: MarkState;
  readonly note: string;
  /** Milliseconds since 1970 UTC when it was made; also tells two versions of a mark apart. */
  readonly at: number;
}

/** Body of `PUT /api/days/:id/marks/:finding`; `seen` is the `at` of the mark that the writer saw, null when there was none. */
export interface MarkRequest {
  readonly state: MarkState;
  readonly note: string;
  readonly seen: number | null;
}

/** `GET /api/days/:id/pulse`: cheap to ask often; a number that grew says what to fetch anew. */
export interface Pulse {
  readonly status: 'reading' | 'judging' | 'ready' | 'failed';
  readonly revision: number;
  readonly marks: number;
}

export const MARK_STATES: readonly MarkState[] = ['confirmed', 'rejected', 'fixed'];
export const LONGEST_NOTE = 4000;

/** Where marks are kept. `logs` names the logs a day was read from, by content (`logsKey`). */
export interface Marks {
  readonly list: (logs: string) => Promise<readonly Mark[]>;
  /** Undefined when somebody else marked the finding since `seen`. */
  readonly put: (logs: string, finding: string, request: MarkRequest) => Promise<Mark | undefined>;
  readonly remove: (logs: string, finding: string) => Promise<void>;
  /** The day was just kept: what was marked before goes with it. */
  readonly keep: (logs: string) => Promise<void>;
  /** Grows with every change. */
  readonly revision: (logs: string) => number;
}

/** Findings keep their ids within the same logs, so marks belong to the logs and outlive a new reading of them. */
export function logsKey(logs: readonly { readonly sha256: string }[]): string {
  return [...new Set(logs.map(({ sha256 }) => sha256))].sort().join('+');
}
