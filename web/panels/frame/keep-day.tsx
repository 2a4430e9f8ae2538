import { useEffect, useState } from 'preact/hooks';
import type { DayView } from '../../../shared/api.ts';
import { isKept, keptDays } from '../../case-api.ts';
import { notice } from '../../state.ts';

/** Keeps the day with all that was found, so that it opens again without its logs; shows nothing on a server that keeps none. */
export function KeepDay({ view }: { readonly view: DayView }) {
  const [isBusy, setBusy] = useState(false);
  useEffect(() => void keptDays.refresh().catch(() => undefined), [view]);
  const isKeptNow = isKept(view);
  if (isKeptNow === undefined) return null;
  const keep = async (): Promise<void> => {
    setBusy(true);
    try {
      const { replaced } = await keptDays.keep(view.id);
      notice.value = replaced ? 'This day is kept as it is now, in place of how it was.' : 'This day is kept. The start page lists it.';
      await keptDays.refresh();
    } catch (error) {
      notice.value = error instanceof Error ? error.message : String(error);
    }
    setBusy(false);
  };
  return <button type="button" class="light" disabled={isBusy} onClick={() => void keep()}>{isKeptNow ? 'Keep it anew' : 'Keep this day'}</button>;
}
