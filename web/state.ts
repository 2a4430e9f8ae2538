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

/** How quantities and clock times read. */
export const reading = computed<Reading>(() => ({ units: address.value.units, zone: view.value?.zone ?? 'UTC', dayStart: view.value?.start ?? 0 }));

/** The range in view, whole day when none is chosen. */
export const range = computed<{ readonly from: number; readonly to: number }>(() => ({
  from: address.value.from ?? 0,
  to: address.value.to ?? view.value?.duration ?? 1,
}));

/** Goes elsewhere; `replace` for changes that Back should not undo one by one (cursor, replay). */
export function go(change: { [K in keyof Address]?: Address[K] | undefined }, how: 'push' | 'replace' = 'push'): void {
  const next = Object.fromEntries(Object.entries({ ...address.value, ...change }).filter(([, member]) => member !== undefined)) as unknown as Address;
  const hash = formatAddress(next);
  if (hash === location.hash) return;
  /* the address line last: it takes the browser some milliseconds, in which the server is already asked */
  address.value = next;
  if (how === 'push') history.pushState(null, '', hash);
  else history.replaceState(null, '', hash);
}

/** Everything of the address that belongs to one day, or to the start page it was opened from. */
export const awayFromDay = { day: undefined, finding: undefined, from: undefined, to: undefined, at: undefined, channels: [], colour: undefined, before: undefined, after: undefined } as const;

export function followAddress(): void {
  const read = (): void => {
    address.value = parseAddress(location.hash);
  };
  addEventListener('popstate', read);
  addEventListener('hashchange', read);
  read();
}
