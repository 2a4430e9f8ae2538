import { useState } from 'preact/hooks';
import type { ErrorReply } from '../../../shared/api.ts';
import { LONGEST_NOTE, MARK_STATES, type MarkState } from '../../../shared/marks.ts';
import { ServerError } from '../../api.ts';
import { isKept } from '../../case-api.ts';
import { desk } from '../../desk-api.ts';
import { fetchMarks } from '../../follow-day.ts';
import { marks, notice, view } from '../../state.ts';
import { Trouble } from '../frame/trouble.tsx';
import { MARK_WORDS } from './wording.ts';

interface Written {
  readonly state: MarkState | undefined;
  readonly note: string;
}

/** What is written and not yet saved, by finding, so that a look at another finding loses nothing. */
const unsaved = new Map<string, Written>();

const CHOICES: Readonly<Record<MarkState, string>> = { confirmed: 'It was so', rejected: 'It was not so', fixed: 'It was so and is fixed' };

/** What was found at the machine: a mark with a note, kept beside the day. */
export function MarkForm({ day, finding }: { readonly day: string; readonly finding: string }) {
  const saved = marks.value.get(finding);
  const [written, setWritten] = useState<Written | undefined>(unsaved.get(finding));
  const [failure, setFailure] = useState<ErrorReply>();
  const { state, note } = written ?? { state: saved?.state, note: saved?.note ?? '' };
  const write = (next: Written): void => {
    unsaved.set(finding, next);
    setWritten(next);
  };
  const attempt = async (work: () => Promise<unknown>, words: string): Promise<void> => {
    try {
      await work();
      unsaved.delete(finding);
      await fetchMarks(day);
      setWritten(undefined);
      setFailure(undefined);
      notice.value = words;
    } catch (error) {
      setFailure(error instanceof ServerError ? error.reply : { kind: 'internal', message: String(error), whatToDo: 'Reload the page.' });
      if (error instanceof ServerError && error.reply.kind === 'refused') await fetchMarks(day);
    }
  };
  const save = (): Promise<void> => (state === undefined ? Promise.resolve() : attempt(() => desk.mark(day, finding, { state, note: note.trim(), seen: saved?.at ?? null }), `Marked: ${MARK_WORDS[state]}.`));
  return (
    <form class="mark-form" onSubmit={(event) => {
      event.preventDefault();
      void save();
    }}>
      <fieldset>
        <legend>What was it at the machine?</legend>
        <div class="choices">
          {MARK_STATES.map((each) => <label key={each}><input type="radio" name={`mark-${finding}`} checked={state === each} onChange={() => write({ state: each, note })} /> {CHOICES[each]}</label>)}
        </div>
        <label class="note-field">Note <textarea rows={2} maxLength={LONGEST_NOTE} value={note} placeholder="What was seen, what was done, by whom" onInput={(event) => write({ state, note: event.currentTarget.value })} /></label>
        {failure !== undefined && <Trouble reply={failure} />}
        <div class="row">
          <button type="submit" disabled={state === undefined || written === undefined}>Save the mark</button>
          {saved !== undefined && <button type="button" class="light" onClick={() => void attempt(() => desk.unmark(day, finding), 'The mark was taken back.')}>Take it back</button>}
          <span class="quiet">{saved === undefined ? lastingWords() : `${MARK_WORDS[saved.state]}, ${new Date(saved.at).toLocaleString('en-GB', { dateStyle: 'medium', timeStyle: 'short' })}`}{written === undefined ? '' : ', not saved yet'}</span>
        </div>
      </fieldset>
    </form>
  );
}

/** How long a mark lasts. */
function lastingWords(): string {
  const isDayKept = view.value === undefined ? undefined : isKept(view.value);
  return isDayKept === true ? 'Kept with the day.' : isDayKept === false ? 'Kept while Sowtrace runs; for good once the day is kept.' : 'Kept while Sowtrace runs.';
}
