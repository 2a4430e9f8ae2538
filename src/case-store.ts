import { createHash } from 'node:crypto';
import { homedir } from 'node:os';
import path from 'node:path';
import { findingsDocument } from './handover/findings-document.ts';
import { nodeDisk, type Disk } from './store/disk.ts';
import { createStore, type Store } from './store/store.ts';
import { version } from './version.ts';

/** The days kept in the folder `root`, which is made when the first one is kept. */
export function openStore(root: string, disk: Disk = nodeDisk): Store {
  return createStore(path.resolve(root).replaceAll('\\', '/'), disk, { version, findingsDocument });
}

/** Tells whether a kept day would come out the same if it were judged again: by this version, with these files as text. */
export function madeWith({ setup, signals, columns, zone }: { readonly setup?: string; readonly signals?: string; readonly columns?: string; readonly zone?: string }): string {
  return createHash('sha256').update(JSON.stringify([version, setup ?? null, signals ?? null, columns ?? null, zone ?? null])).digest('hex');
}

/** SOWTRACE_STORE, else `sowtrace-cases` in the home folder. */
export function defaultStoreRoot(environment: Readonly<Record<string, string | undefined>>): string {
  const chosen = environment['SOWTRACE_STORE'];
  return chosen === undefined || chosen === '' ? path.join(environment['HOME'] ?? homedir(), 'sowtrace-cases') : chosen;
}
