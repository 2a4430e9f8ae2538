import { useEffect } from 'preact/hooks';
import { keptDays } from '../../case-api.ts';
import { go } from '../../state.ts';
import { Trouble } from '../frame/trouble.tsx';
import { work } from '../setup/draft.ts';
import { Browse } from './browse.tsx';
import { isHeldOver } from './drop-anywhere.ts';
import { FileList } from './file-list.tsx';
import { isBusy, offered, textFor, wholeLogs } from './offered.ts';
import { isOpening, openNewDay, openSample, openingTrouble } from './opening.ts';
import { Season } from '../compare/season.tsx';
import { KeptDays } from './kept-days.tsx';
import { RecentDays } from './recent-days.tsx';

/** Where a day begins: its logs and the files beside them; a day still open; or the sample day. */
export function Intake() {
  const logs = wholeLogs.value.length;
  const isEmpty = offered.value.length === 0;
  useEffect(() => void keptDays.refresh().catch(() => undefined), []);
  return (
    <section class="intake" aria-labelledby="which-day">
      <h2 id="which-day">Which day?</h2>
      <p class="lead">Add everything that recorded the day: the cart’s log, the tractor’s log. Several files become one day. Nothing leaves this computer.</p>
      {openingTrouble.value !== undefined && <Trouble reply={openingTrouble.value} />}
      <div class={`drop${isHeldOver.value ? ' over' : ''}${isEmpty ? '' : ' small'}`}>
        <p>{isHeldOver.value ? 'Let go to add them' : isEmpty ? 'Drop files, a folder or a zip anywhere on this page, or paste them' : 'Drop or paste more'}</p>
        <Browse />
        {isEmpty && <p class="quiet accepted">Read are CAN logs (candump, pcap, pcapng), NMEA 2000 text lines, ISO 11783-10 task data, and CSV with a heading row and one column of times; each also packed as .gz or .zst. Beside them: setup.json, signals.json or a .dbc, columns.json. What a file is, its content tells, not its name.</p>}
      </div>
      <FileList />
      {!isEmpty && (
        <div class="row">
          <button type="button" class="main" disabled={logs === 0 || isBusy.value || isOpening.value} onClick={() => void openNewDay()}>{logs > 1 ? `Read these ${logs} files as one day` : 'Read the day'}</button>
          <span class="quiet" role="status">{nextStep(logs)}</span>
        </div>
      )}
      <RecentDays />
      <KeptDays />
      <Season />
      <section aria-labelledby="first-setup">
        <h3 id="first-setup">The machine and the job</h3>
        <p>{setupWords()} {textFor('setup') === undefined && <button type="button" class="link" onClick={() => go({ reading: 'setup' })}>{hasDraft() ? 'Change it' : 'Enter it now'}</button>}</p>
      </section>
      <section aria-labelledby="sample">
        <h3 id="sample">Only looking?</h3>
        <p>A short made-up morning comes with Sowtrace: a drill that got stuck, and what the log says about it. <button type="button" class="link" disabled={isOpening.value} onClick={() => void openSample()}>Look at the sample day</button></p>
      </section>
    </section>
  );
}

const hasDraft = (): boolean => work.value.day === '' && Object.keys(work.value.draft).length > 0;

function setupWords(): string {
  if (textFor('setup') !== undefined) return 'The setup.json that you added will be used.';
  return hasDraft() ? 'What you entered will be used.' : 'Not needed to begin. With it, more can be checked: rates, fan floors, towers, tickets.';
}

function nextStep(logs: number): string {
  if (isBusy.value) return 'Wait until the files are handed over.';
  const unused = offered.value.filter(({ state }) => state === 'unusable').length;
  if (logs === 0) return 'None of these is a log yet.';
  return unused === 0 ? '' : unused === 1 ? 'One file will not be used.' : `${unused} files will not be used.`;
}
