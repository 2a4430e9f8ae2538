import path from 'node:path';
import { offsetAt } from '../../shared/clock.ts';
import type { CaseListing } from '../../shared/case.ts';
import type { Day } from '../../shared/day.ts';
import { sha256 } from './sealed-json.ts';

/** Where a case lies in the store: `machine=<slug>/date=<date>/case=<id>[-<revision>]`, as engines read partitions. */
export interface CasePlace {
  /** Within the store, with forward slashes. */
  readonly folder: string;
  readonly id: string;
  /** 1, 2, …; the highest counts. */
  readonly revision: number;
}

/** The same logs, however named, packed, ordered or repeated, are the same case. It begins with a letter, so that no engine takes it for a number. */
export function caseId(logHashes: readonly string[]): string {
  return `c${sha256([...new Set(logHashes)].sort().join('+')).slice(0, 15)}`;
}

export function casePlace({ id, machine, date }: Pick<CaseListing, 'id' | 'machine' | 'date'>, revision: number): CasePlace {
  return { folder: `machine=${slug(machine)}/date=${date}/case=${id}${revision === 1 ? '' : `-${revision}`}`, id, revision };
}

const CASE = /^case=(c[0-9a-f]{15})(?:-([1-9]\d{0,5}))?$/;

/** The case that a folder's name stands for; undefined when it is not one. */
export function placeOf(folder: string): CasePlace | undefined {
  const match = CASE.exec(path.posix.basename(folder));
  return match === null ? undefined : { folder, id: match[1] as string, revision: Number(match[2] ?? 1) };
}

const LONGEST_SLUG = 40;

/** Letters, digits and hyphens; a name in another script is told by its hash. */
function slug(machine: string): string {
  const plain = machine.normalize('NFKD').replaceAll(/\p{M}/gu, '').toLowerCase().replaceAll(/[^a-z0-9]+/g, '-').slice(0, LONGEST_SLUG).replaceAll(/^-+|-+$/g, '');
  return plain === '' ? `machine-${sha256(machine).slice(0, 8)}` : plain;
}

/** Calendar day of second 0, that is of the first record, in the zone; `undated` when no log has a wall clock. */
export function calendarDay(day: Day, zone: string): string {
  return isDated(day) ? new Date((day.start + offsetAt(day.start, zone)) * 1000).toISOString().slice(0, 10) : 'undated';
}

export function isDated(day: Day): boolean {
  return day.logs.some(({ start }) => Number.isFinite(start));
}
