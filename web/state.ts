import { computed, signal } from '@preact/signals';
import type { DayState, DayView, ErrorReply } from '../shared/api.ts';
import type { Mark } from '../shared/marks.ts';
import type { Reading } from '../shared/text.ts';
import { formatAddress, parseAddress, startAddress, type Address } from './address.ts';

/** Where the viewer stands: the address is the only store of what is looked at; days and marks come from the server. */
export const address = signal<Address>(startAddress);
export const dayState = signal<DayState | undefined>(undefined);
export const trouble = signal<ErrorReply | undefined>(undefined);
/** Marks of the day by finding id. */
export const marks = signal<ReadonlyMap<string, Mark>>(new Map());
/** Set while the server does not answer although it did before. */
export const isServerGone = signal(false);
/** What was just done, read out once by screen readers and shown for a moment. */
export const notice = signal('');

export const view = computed<DayView | undefined>(() => (dayState.value?.status === 'ready' ? dayState.value.view : undefined));

/* Parts of the address that most of the page hangs on, so that a zoom does not render all of it anew. */
export const dayId = computed(() => address.value.day);
export const panel = computed(() => address.value.reading);
export const units = computed(() => address.value.units);

/** How quantities and clock times read. */
export const reading = computed<Reading>(() => ({ units: units.value, zone: view.value?.zone ?? 'UTC', dayStart: view.value?.start ?? 0 }));

/* One by one, so that a cursor put elsewhere is no new range, for which lanes would be fetched again. */
const start = computed(() => address.value.from ?? 0);
const end = computed(() => address.value.to ?? view.value?.duration ?? 1);

/** The range in view, whole day when none is chosen. */
export const range = computed<{ readonly from: number; readonly to: number }>(() => ({ from: start.value, to: end.value }));

/** ms after which a zoom is written into the address line: that keeps the browser busy for some 20 ms, for which the server's answer would wait. */
const SOON = 150;
let unwritten: { readonly hash: string; readonly timer: number } | undefined;

function writeAddress(): void {
  if (unwritten === undefined) return;
  clearTimeout(unwritten.timer);
  history.pushState(null, '', unwritten.hash);
  unwritten = undefined;
}

/**
 * Goes elsewhere, unless it is there already. `replace` for changes that Back should not undo one by one (cursor, replay), `soon` for
 * those that a picture waits for.
 */
export function go(change: { [K in keyof Address]?: Address[K] | undefined }, how: 'push' | 'replace' | 'soon' = 'push'): boolean {
  const next = Object.fromEntries(Object.entries({ ...address.value, ...change }).filter(([, member]) => member !== undefined)) as unknown as Address;
  const hash = formatAddress(next);
  if (hash === (unwritten?.hash ?? location.hash)) return false;
  writeAddress();
  /* the address line last: the server is asked before */
  address.value = next;
  if (how === 'soon') unwritten = { hash, timer: window.setTimeout(writeAddress, SOON) };
  else if (how === 'push') history.pushState(null, '', hash);
  else history.replaceState(null, '', hash);
  return true;
}

export function goBack(): void {
  writeAddress();
  history.back();
}

/** Everything of the address that belongs to one day, or to the start page it was opened from. */
export const awayFromDay = { day: undefined, finding: undefined, from: undefined, to: undefined, at: undefined, channels: [], colour: undefined, before: undefined, after: undefined } as const;

export function followAddress(): void {
  const read = (): void => {
    clearTimeout(unwritten?.timer);
    unwritten = undefined;
    address.value = parseAddress(location.hash);
  };
  addEventListener('popstate', read);
  addEventListener('hashchange', read);
  addEventListener('pagehide', writeAddress);
  read();
}
