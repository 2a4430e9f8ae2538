import { DAYS_TO_RESTORE, type CaseListing } from '../../shared/case.ts';
import type { Disk } from './disk.ts';

/** Days that were removed lie as before, but under the date (UTC) of their removal: `.removed/since=<date>/machine=…`. */
const REMOVED = '.removed';
const SINCE = /^since=(\d{4}-\d{2}-\d{2})$/;
const DAY_MILLISECONDS = 86_400_000;
/** Records with a broken clock may claim any year; a date has four digits for it. */
const LAST = Date.UTC(9999, 11, 31);

/** Where a day that is removed now goes to. A clock that is behind, as that of a laptop with an empty battery, must not make it look removed long ago: it goes after its own records. */
export function shelfNow(removed: CaseListing | undefined, now: number): string {
  const known = removed === undefined ? [] : [removed.savedAt, (removed.start + removed.duration) * 1000];
  return `${REMOVED}/since=${new Date(Math.max(now, ...known.filter((time) => time < LAST))).toISOString().slice(0, 10)}`;
}

/** The folders of removed days within the store, what was removed last first. What bears no date of removal is last, and stays. */
export async function shelves(disk: Disk, root: string): Promise<readonly string[]> {
  return [...(await datesOf(disk, root)).map((date) => `${REMOVED}/since=${date}`), REMOVED];
}

/** Those whose days can no longer be had back. */
export async function outdatedShelves(disk: Disk, root: string, now: number): Promise<readonly string[]> {
  /* Removed at the very end of its date: a whole day more. */
  const isOver = (date: string): boolean => now > Date.parse(date) + (DAYS_TO_RESTORE + 1) * DAY_MILLISECONDS;
  return (await datesOf(disk, root)).filter(isOver).map((date) => `${REMOVED}/since=${date}`);
}

async function datesOf(disk: Disk, root: string): Promise<readonly string[]> {
  return (await disk.entries(`${root}/${REMOVED}`)).flatMap(({ name, isFolder }) => (isFolder ? (SINCE.exec(name)?.[1] ?? []) : [])).sort().reverse();
}
