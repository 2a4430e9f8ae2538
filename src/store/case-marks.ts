import type { Mark, MarkRequest, Marks } from '../../shared/marks.ts';
import { caseId, type CasePlace } from './case-place.ts';
import { newest, revisionsOf } from './case-search.ts';
import type { Disk } from './disk.ts';
import { toldDamage } from './manifest.ts';
import { MARKS, marksBytes, readMarks } from './marks-file.ts';
import type { Placement } from './placement.ts';

/** Marks of kept days in their cases, of others in memory until the process ends or the day is kept. */
export function createMarks(disk: Disk, root: string, placement: Placement, now: () => number = Date.now): Marks {
  const unkept = new Map<string, readonly Mark[]>();
  const revisions = new Map<string, number>();

  const placeOf = async (logs: string): Promise<CasePlace | undefined> => newest(await revisionsOf(disk, root, caseId(logs.split('+'))));

  /** Of a kept day: those of its case, and those made before it was kept. */
  const current = async (logs: string, place: CasePlace | undefined): Promise<ReadonlyMap<string, Mark>> => {
    const waiting = unkept.get(logs) ?? [];
    if (place === undefined) return byFinding(waiting);
    try {
      return byFinding([...(await readMarks(disk, root, place.folder)), ...waiting]);
    } catch (error) {
      throw toldDamage(error, place);
    }
  };

  const write = async (logs: string, place: CasePlace | undefined, marks: ReadonlyMap<string, Mark>): Promise<void> => {
    if (place === undefined) unkept.set(logs, [...marks.values()]);
    else {
      await placement.replaceFile(place.folder, MARKS, marksBytes([...marks.values()]));
      unkept.delete(logs);
    }
    revisions.set(logs, (revisions.get(logs) ?? 0) + 1);
  };

  return {
    list: async (logs) => [...(await current(logs, await placeOf(logs))).values()],
    put: (logs, finding, { state, note, seen }: MarkRequest) => placement.oneAtATime(async () => {
      const place = await placeOf(logs);
      const marks = await current(logs, place);
      const before = marks.get(finding);
      if (before !== undefined && before.at !== seen) return undefined;
      /* Two marks in one millisecond must still differ. */
      const mark: Mark = { finding, state, note, at: Math.max(now(), (before?.at ?? 0) + 1) };
      await write(logs, place, new Map([...marks, [finding, mark]]));
      return mark;
    }),
    remove: (logs, finding) => placement.oneAtATime(async () => {
      const place = await placeOf(logs);
      await write(logs, place, new Map([...(await current(logs, place))].filter(([known]) => known !== finding)));
    }),
    keep: (logs) => placement.oneAtATime(async () => {
      const place = await placeOf(logs);
      if (place !== undefined && unkept.has(logs)) await write(logs, place, await current(logs, place));
    }),
    revision: (logs) => revisions.get(logs) ?? 0,
  };
}

const byFinding = (marks: readonly Mark[]): ReadonlyMap<string, Mark> => new Map(marks.map((mark) => [mark.finding, mark]));
