import type { DayView } from '../shared/api.ts';
import { logsKey as keyOf, type Mark, type Marks } from '../shared/marks.ts';

export function logsKey(view: DayView): string {
  return keyOf(view.logs);
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
    keep: async () => undefined,
    revision: (logs) => revisions.get(logs) ?? 0,
  };
}
