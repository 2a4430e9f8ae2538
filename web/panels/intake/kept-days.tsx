import { useState } from 'preact/hooks';
import { DAYS_TO_RESTORE, type CaseListing } from '../../../shared/case.ts';
import { formatClock } from '../../../shared/text.ts';
import { kept, keptDays } from '../../case-api.ts';
import { awayFromDay, go } from '../../state.ts';
import { shownDate, shownName, visible } from '../frame/names.ts';

/** Days kept on this computer: opened by a click; taken away after a question, and had back. */
export function KeptDays() {
  const list = kept.value;
  const [asked, setAsked] = useState('');
  const [gone, setGone] = useState<CaseListing>();
  const [failure, setFailure] = useState('');
  /** `done` is told once the list agrees. */
  const doing = async (work: () => Promise<unknown>, done: () => void = () => undefined): Promise<void> => {
    try {
      setFailure('');
      await work();
      await keptDays.refresh();
      done();
    } catch (error) {
      setFailure(error instanceof Error ? error.message : String(error));
    }
  };
  const remove = (listing: CaseListing): void => {
    setAsked('');
    void doing(() => keptDays.remove(listing.id), () => setGone(listing));
  };
  const restore = ({ id }: CaseListing): void => {
    void doing(() => keptDays.restore(id), () => setGone(undefined));
  };
  const open = ({ id }: CaseListing): void => void doing(async () => go({ ...awayFromDay, day: (await keptDays.open(id)).id, reading: 'fix' }));
  if (list === undefined || (list.cases.length === 0 && list.damaged.length === 0 && gone === undefined)) return null;
  return (
    <section aria-labelledby="kept">
      <h3 id="kept">Kept days</h3>
      {failure !== '' && <p class="field-problem" role="alert">{failure}</p>}
      {gone !== undefined && <p role="status">{whenWas(gone)} was removed. <button type="button" onClick={() => restore(gone)}>Undo</button> <span class="quiet">Later, for {DAYS_TO_RESTORE} days: <code>sowtrace cases --restore {gone.id}</code></span></p>}
      <ul class="recent kept">
        {list.cases.map((listing) => (
          <li key={listing.id}>
            <button type="button" onClick={() => open(listing)}>
              <strong>{whenWas(listing)}</strong>
              <span class="quiet">{shownName(listing.machine)}, {shownName(listing.name)}</span>
              <span>{listing.actions + listing.watches === 0 ? 'nothing to do' : `${listing.actions} to put right, ${listing.watches} to keep an eye on`}</span>
            </button>
            {asked === listing.id
              ? <span class="row"><button type="button" onClick={() => remove(listing)}>Yes, remove it</button><button type="button" onClick={() => setAsked('')}>No, keep it</button></span>
              : <button type="button" class="light" onClick={() => setAsked(listing.id)}>Remove<span class="unseen"> {whenWas(listing)}</span></button>}
          </li>
        ))}
      </ul>
      {list.damaged.map(({ folder, reason }) => <p key={folder} class="field-problem words">Damaged and not shown: {visible(folder)}: {visible(reason)}</p>)}
    </section>
  );
}

function whenWas({ date, zone, start }: CaseListing): string {
  return date === 'undated' ? 'A day without a date' : `${shownDate(start, zone)}, ${formatClock(0, { units: 'metric', zone, dayStart: start }).slice(0, 5)}`;
}
