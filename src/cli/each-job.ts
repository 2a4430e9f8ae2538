import type { CaseListing } from '../../shared/case.ts';
import { analyse, isMendable, openLogs, openStore, type Store } from '../index.ts';
import { keepDay, madeBy } from './kept-day.ts';
import { readDay, type ReadingSettings } from './reading-options.ts';

/** What a worker of `check --each` is started with. */
export interface EachJob {
  readonly settings: ReadingSettings;
  /** Where to keep the days; left out when they are not to be kept. */
  readonly store?: string;
}

/** What became of one day. */
export type EachOutcome =
  | { readonly kind: 'judged' | 'already kept'; readonly when: Pick<CaseListing, 'start' | 'duration' | 'zone'>; readonly actions: number; readonly watches: number; readonly id?: string; readonly replaced?: boolean }
  | { readonly kind: 'unreadable' | 'no log' | 'our mistake'; readonly reason: string };

const NO_LOG = new Set(['unknown-format', 'wrong-kind', 'no-log']);

/** One file, folder or archive as a day of its own. Never throws: one bad log must not stop the rest. */
export async function judgeEach(place: string, { settings, store: root }: EachJob): Promise<EachOutcome> {
  try {
    const store = root === undefined ? undefined : openStore(root);
    const known = store === undefined ? undefined : await alreadyKept(store, await hashesOf(place), settings);
    if (known !== undefined) return known;
    const { day, setup, zone } = await readDay([place], settings);
    /* Task data and folders with other things in them are known by their hashes only once they are read. */
    const knownNow = store === undefined ? undefined : await alreadyKept(store, day.logs.map(({ sha256 }) => sha256), settings);
    if (knownNow !== undefined) return knownNow;
    const analysis = analyse(day, setup);
    const count = (severity: string): number => analysis.findings.filter((finding) => finding.severity === severity).length;
    const saved = store === undefined ? undefined : await keepDay(store, analysis, zone, settings);
    return {
      kind: 'judged', when: { start: day.start, duration: day.duration, zone }, actions: count('action'), watches: count('watch'),
      ...(saved === undefined ? {} : { id: saved.id, replaced: saved.replaced }),
    };
  } catch (error) {
    if (!isMendable(error)) return { kind: 'our mistake', reason: error instanceof Error ? error.message : String(error) };
    return { kind: NO_LOG.has(error.code) ? 'no log' : 'unreadable', reason: `${error.message} ${error.whatToDo}` };
  }
}

async function alreadyKept(store: Store, hashes: readonly string[], settings: ReadingSettings): Promise<EachOutcome | undefined> {
  const found = await store.find(hashes);
  if (found === undefined || found.madeWith !== madeBy(settings)) return undefined;
  const { id, start, duration, zone, actions, watches } = found.listing;
  return { kind: 'already kept', id, when: { start, duration, zone }, actions, watches };
}

/** SHA-256 of each log's decompressed bytes, without reading what they say. */
async function hashesOf(place: string): Promise<readonly string[]> {
  const { logs, close } = await openLogs([{ path: place }]);
  const hashes: string[] = [];
  try {
    for (const log of logs) {
      for await (const _ of log.bytes());
      hashes.push(log.outcome().sha256);
    }
  } finally {
    await close();
  }
  return hashes;
}
