import { signal } from '@preact/signals';
import type { DayView } from '../shared/api.ts';
import type { CaseListing, KeptDays } from '../shared/case.ts';
import { logsKey } from '../shared/marks.ts';
import { OWN, answer, json, post } from './api.ts';

const of = (id: string): string => `/api/cases/${encodeURIComponent(id)}`;

/** Days that are kept on this computer, as the server last told: one list for all that show it. Undefined until it has answered. */
export const kept = signal<KeptDays | undefined>(undefined);

/** Whether a day with these logs is kept; undefined where none can be. */
export function isKept({ logs }: Pick<DayView, 'logs'>): boolean | undefined {
  const list = kept.value;
  return list?.store === undefined ? undefined : list.cases.some((listing) => logsKey(listing.logs) === logsKey(logs));
}

/** What is done with kept days. All reject with ServerError; the list then stays as it was. */
export const keptDays = {
  refresh: async (): Promise<void> => {
    kept.value = await json<KeptDays>('/api/cases');
  },
  keep: (day: string): Promise<{ readonly id: string; readonly replaced: boolean }> => json(`/api/days/${encodeURIComponent(day)}/keep`, post({})),
  open: (id: string): Promise<{ readonly id: string }> => json(`${of(id)}/open`, post({})),
  remove: async (id: string): Promise<void> => void (await answer(of(id), { method: 'DELETE', headers: OWN })),
  restore: (id: string): Promise<CaseListing> => json(`${of(id)}/restore`, post({})),
};
