import { awayFromDay, go } from '../../state.ts';
import { Trouble } from '../frame/trouble.tsx';
import { FileList } from './file-list.tsx';
import { isBusy, offered, wholeLogs, withdrawAll } from './offered.ts';
import { addToDay, isOpening, openNewDay, openingTrouble } from './opening.ts';

/** Files added while a day is open: they may join it or make a day of their own. */
export function Tray({ day }: { readonly day: string }) {
  if (offered.value.length === 0) return openingTrouble.value === undefined ? null : <Trouble reply={openingTrouble.value} />;
  const hasLogs = wholeLogs.value.length > 0;
  const isUsable = offered.value.some(({ state }) => state === 'ready');
  const isWaiting = isBusy.value || isOpening.value;
  return (
    <section class="tray" aria-label="Files just added">
      {openingTrouble.value !== undefined && <Trouble reply={openingTrouble.value} />}
      <FileList />
      <div class="row">
        <button type="button" class="main" disabled={isWaiting || !isUsable} onClick={() => void addToDay(day)}>{hasLogs ? 'Add to this day and read it again' : 'Use for this day'}</button>
        {hasLogs && <button type="button" disabled={isWaiting} onClick={() => void openNewDay()}>Read as another day</button>}
        <button type="button" onClick={() => withdrawAll()}>Put them away</button>
      </div>
    </section>
  );
}

/** Leaves the day for the start page; the day stays open on the server. */
export function toStart(): void {
  go({ ...awayFromDay, reading: 'fix' });
}
