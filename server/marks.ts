import type { DayView } from '../shared/api.ts';
import type { Mark, MarkRequest } from '../shared/marks.ts';

/** Where marks are kept; the saved case may take this over. `logs` names the logs a day was read from, by content. */
export interface Marks {
  readonly list: (logs: string) => Promise<readonly Mark[]>;
  /** Undefined when somebody else marked the finding since `seen`. */
  readonly put: (logs: string, finding: string, request: MarkRequest) => Promise<Mark | undefined>;
  readonly remove: (logs: string, finding: string) => Promise<void>;
  /** Grows with every change. */
  readonly revision: (logs: string) => number;
}

/** Findings keep their ids within the same logs, so marks belong to the logs and outlive a new reading of them. */
export function logsKey(view: DayView): string {
  return view.logs.map((log) => log.sha256).sort().join('+');
}

/** Marks until the server stops. */
export function createMarksInMemory(now: () => number = Date.now): Marks {
  const kept = new Map<string, Map<string, Mark>>();
  const revisions = new Map<string, number>();
  const of = (logs: string): Map<string, Mark> => {
    const marks = kept.get(logs) ?? new Map<string, Mark>();
    kept.set(logs, marks);
    return marks;
  };
  const changed = (logs: string): void => void revisions.set(logs, (revisions.get(logs) ?? 0) + 1);
  return {
    list: async (logs) => [...of(logs).values()],
    put: async (logs, finding, { state, note, seen }) => {
      const before = of(logs).get(finding);
      if (before !== undefined && before.at !== seen) return undefined;
      /* Two marks in one millisecond must still differ. */
      const mark: Mark = { finding, state, note, at: Math.max(now(), (before?.at ?? 0) + 1) };
      of(logs).set(finding, mark);
      changed(logs);
      return mark;
    },
    remove: async (logs, finding) => {
      of(logs).delete(finding);
      changed(logs);
    },
    revision: (logs) => revisions.get(logs) ?? 0,
  };
}
