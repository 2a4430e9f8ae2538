import { signal } from '@preact/signals';
import type { ErrorReply } from '../../../shared/api.ts';
import { ServerError, api } from '../../api.ts';
import { desk } from '../../desk-api.ts';
import { refreshDay } from '../../follow-day.ts';
import { awayFromDay, dayState, go, notice } from '../../state.ts';
import { draftFrom, draftText, work } from '../setup/draft.ts';
import { offered, textFor, usableLogs, withdrawAll } from './offered.ts';

/** What went wrong with opening, in the server's words. */
export const openingTrouble = signal<ErrorReply | undefined>(undefined);
export const isOpening = signal(false);

async function attempt(open: () => Promise<void>): Promise<void> {
  isOpening.value = true;
  openingTrouble.value = undefined;
  try {
    await open();
  } catch (error) {
    openingTrouble.value = error instanceof ServerError ? error.reply : { kind: 'internal', message: String(error), whatToDo: 'Reload the page.' };
  }
  isOpening.value = false;
}

const show = (id: string): void => { go({ ...awayFromDay, day: id, reading: 'fix' }); };

/** Setup for a new day: the file that was added, else what was entered in the form. */
function setupText(): string | undefined {
  return textFor('setup') ?? (work.value.day === '' && Object.keys(work.value.draft).length > 0 ? draftText(work.value.draft) : undefined);
}

/** Reads what was added as a day of its own. */
export function openNewDay(): Promise<void> {
  return attempt(async () => {
    const [setup, signals, columns] = [setupText(), textFor('signals'), textFor('columns')];
    const uploads = usableLogs.value.flatMap(({ upload }) => (upload === undefined ? [] : [upload]));
    const { id } = await api.open({ uploads, ...(setup === undefined ? {} : { setup }), ...(signals === undefined ? {} : { signals }), ...(columns === undefined ? {} : { columns }) });
    withdrawAll(true);
    show(id);
  });
}

export function openSample(): Promise<void> {
  return attempt(async () => show((await api.openSample()).id));
}

/** Reads the day in view once more, with the logs and meanings that were added; a setup that was added goes to the form. */
export function addToDay(day: string): Promise<void> {
  return attempt(async () => {
    const uploads = usableLogs.value.flatMap(({ upload }) => (upload === undefined ? [] : [upload]));
    const [columns, setup] = [textFor('columns'), textFor('setup')];
    if (columns !== undefined) await desk.readWithColumns(day, columns);
    if (uploads.length > 0) await desk.readWithFiles(day, uploads);
    if (setup !== undefined) {
      takeSetup(day, setup);
      go({ reading: 'setup' });
    }
    offered.value = [];
    if (columns !== undefined || uploads.length > 0) dayState.value = undefined;
    refreshDay();
  });
}

function takeSetup(day: string, text: string): void {
  try {
    work.value = { day, draft: draftFrom(text), isChanged: true };
    notice.value = 'The setup was loaded into the form. Judge the day with it when it is right.';
  } catch (error) {
    throw new ServerError({ kind: 'setup', message: `The setup is not valid JSON: ${error instanceof Error ? error.message : String(error)}.`, whatToDo: 'Mend the place named and add the file again.' });
  }
}
