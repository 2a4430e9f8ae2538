import type { ReadingName } from '../../address.ts';
import { dayId, go, panel, units, view } from '../../state.ts';
import { isHelpOpen } from '../help/help-sheet.tsx';
import { toStart } from '../intake/tray.tsx';
import { KeepDay } from './keep-day.tsx';
import { shownDate, shownName } from './names.ts';

export const READING_LABELS: Readonly<Record<ReadingName, string>> = { fix: 'What to fix', day: 'The day', rates: 'The rates', setup: 'Setup', logs: 'Logs' };
const READINGS: readonly ReadingName[] = ['fix', 'day', 'rates'];
const GROUNDS: readonly ReadingName[] = ['setup', 'logs'];

/** Which day, its three readings, what they rest on, units, keys and the way to another day. */
export function Top() {
  const day = view.value;
  const unknown = day?.logs.reduce((sum, log) => sum + (log.unknownColumns?.length ?? 0), 0) ?? 0;
  return (
    <header class="top">
      <h1>Sowtrace</h1>
      {day !== undefined && <p class="which"><strong>{shownDate(day.start, day.zone)}</strong> <span class="quiet"><bdi>{shownName(day.name)}</bdi></span></p>}
      {day !== undefined && <nav class="readings" aria-label="Readings of the day">{READINGS.map((name) => <ReadingButton key={name} name={name} />)}</nav>}
      <div class="side">
        {day !== undefined && <nav class="readings" aria-label="What they rest on">{GROUNDS.map((name) => <ReadingButton key={name} name={name} count={name === 'logs' ? unknown : 0} />)}</nav>}
        <label class="units"><span class="unseen">Units</span>
          <select value={units.value} onChange={(event) => go({ units: event.currentTarget.value === 'us' ? 'us' : 'metric' })}>
            <option value="metric">metric</option>
            <option value="us">US units</option>
          </select>
        </label>
        <button type="button" class="light" aria-haspopup="dialog" onClick={() => { isHelpOpen.value = true; }}>Keys <kbd aria-hidden="true">?</kbd></button>
        {day !== undefined && <KeepDay view={day} />}
        {(dayId.value !== undefined || panel.value === 'setup') && <button type="button" class="light" onClick={toStart}>Another day</button>}
      </div>
    </header>
  );
}

function ReadingButton({ name, count = 0 }: { readonly name: ReadingName; readonly count?: number }) {
  return (
    <button type="button" aria-current={panel.value === name ? 'page' : undefined} onClick={() => go({ reading: name })}>
      {READING_LABELS[name]}{count > 0 && <span class="count">{count}<span class="unseen"> headings not understood</span></span>}
    </button>
  );
}
