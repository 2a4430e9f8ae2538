import { useEffect, useMemo, useRef, useState } from 'preact/hooks';
import type { DayView, ErrorReply } from '../../../shared/api.ts';
import type { Problem } from '../../../shared/json-reader.ts';
import { ServerError, api } from '../../api.ts';
import { dayState, go, notice } from '../../state.ts';
import { download } from '../frame/download.ts';
import { Trouble } from '../frame/trouble.tsx';
import { draftFrom, draftText, problemWords, problemsOf, work, type Draft } from './draft.ts';
import { EntryList } from './entry-list.tsx';
import { Field } from './field.tsx';
import { SECTIONS, type SectionPlan } from './fields.ts';
import { Enables } from './enables.tsx';
import { placeWords } from './place-words.ts';

/** The machine and the job, entered or loaded; judged again at a press. Without a day it is kept for the next one. */
export function SetupPanel({ view }: { readonly view?: DayView | undefined }) {
  const [failure, setFailure] = useState<ErrorReply>();
  const [isJudging, setJudging] = useState(false);
  const file = useRef<HTMLInputElement>(null);
  useEffect(() => {
    if (view !== undefined && (work.value.day !== view.id || !work.value.isChanged)) restore(view);
  }, [view?.id, view?.setup]);
  const problems = problemsOf(work.value.draft);
  /* Some 400 names: made once, and left alone at every key that is pressed. */
  const zones = useMemo(() => <datalist id="zones">{['UTC', ...Intl.supportedValuesOf('timeZone')].map((zone) => <option key={zone} value={zone} />)}</datalist>, []);

  const load = async (chosen: File | undefined): Promise<void> => {
    if (chosen === undefined) return;
    try {
      work.value = { day: view?.id ?? '', draft: draftFrom(await chosen.text()), isChanged: true };
      setFailure(undefined);
      notice.value = `${chosen.name} loaded.`;
    } catch (error) {
      setFailure({ kind: 'setup', message: `${chosen.name} cannot be used: ${error instanceof Error ? error.message : String(error)}.`, whatToDo: 'Mend the place named, for example a missing comma or quote, and load it again.' });
    }
  };
  const judge = async (day: DayView): Promise<void> => {
    setJudging(true);
    try {
      const next = await api.judge(day.id, draftText(work.value.draft));
      dayState.value = { status: 'ready', view: next };
      work.value = { ...work.value, day: day.id, isChanged: false };
      setFailure(undefined);
      notice.value = `Judged again with this setup: ${summary(day)} before, ${summary(next)} now.`;
    } catch (error) {
      setFailure(error instanceof ServerError ? error.reply : { kind: 'internal', message: String(error), whatToDo: 'Reload the page.' });
    }
    setJudging(false);
  };

  return (
    <section class="setup" aria-label="The machine and the job">
      <h2>The machine and the job</h2>
      <p class="lead">Every entry is optional; a check that lacks what it needs says so instead of guessing. Write quantities with your own units, as you know them: 60 ft, 18.3 m, 107 lb/ac.</p>
      <div class="row bar">
        {view === undefined
          ? <button type="button" class="main" onClick={() => go({ reading: 'fix' })}>Keep it and choose the logs</button>
          : <button type="button" class="main" disabled={problems.length > 0 || isJudging || !work.value.isChanged} onClick={() => void judge(view)}>{isJudging ? 'Judging…' : 'Judge the day with this'}</button>}
        <button type="button" onClick={() => file.current?.click()}>Load setup.json…</button>
        <input ref={file} hidden type="file" accept=".json,application/json" aria-label="setup.json" onChange={(event) => {
          void load(event.currentTarget.files?.[0]);
          event.currentTarget.value = '';
        }} />
        <button type="button" onClick={() => download('setup.json', draftText(work.value.draft))}>Save setup.json</button>
        {view !== undefined && work.value.isChanged && <button type="button" class="light" onClick={() => restore(view)}>Undo all changes</button>}
        <span class="quiet" role="status">{statusWords(problems, view)}</span>
      </div>
      {failure !== undefined && <Trouble reply={failure} />}
      {problems.length > 0 && <ProblemList problems={problems} />}
      {SECTIONS.map((section) => <Section key={section.id} section={section} problems={problems} view={view} />)}
      {hasDelaysApart(work.value.draft) && <p class="quiet">The delays per tank or section that the file holds are kept as they are.</p>}
      {zones}
    </section>
  );
}

function Section({ section, problems, view }: { readonly section: SectionPlan; readonly problems: readonly Problem[]; readonly view: DayView | undefined }) {
  return (
    <section class="setup-section" aria-labelledby={`setup-${section.id}`}>
      <div class="setup-about">
        <h3 id={`setup-${section.id}`}>{section.title}</h3>
        <p class="quiet">{section.intro}</p>
        <Enables section={section.id} checks={view?.checks ?? []} />
      </div>
      <div class="setup-fields">
        {section.fields.length > 0 && <div class="field-grid">{section.fields.map((field) => <Field key={field.key.join('.')} plan={field} base={[]} problems={problems} />)}</div>}
        {section.lists.map((list) => <EntryList key={list.path.join('.')} plan={section.lists.length > 1 ? list : { ...list, title: '' }} problems={problems} />)}
      </div>
    </section>
  );
}

/** All that cannot be used yet, each leading to its entry. */
function ProblemList({ problems }: { readonly problems: readonly Problem[] }) {
  const find = (path: string): HTMLElement | null => {
    const exact = document.querySelector<HTMLElement>(`[data-place="${CSS.escape(path)}"]`);
    return exact ?? document.querySelector<HTMLElement>(`[data-place^="${CSS.escape(path)}"]`);
  };
  return (
    <div class="trouble">
      <strong>{problems.length === 1 ? 'One entry' : `${problems.length} entries`} cannot be used yet.</strong>
      <ul>
        {problems.map((problem) => <li key={`${problem.path}${problem.message}`}><button type="button" class="link" onClick={() => find(problem.path)?.focus()}>{placeWords(problem.path, work.value.draft)}</button>: {problemWords(problem)}</li>)}
      </ul>
    </div>
  );
}

function restore(view: DayView): void {
  let draft: Draft = {};
  try {
    draft = draftFrom(view.setup ?? '{}');
  } catch {
    /* The day was judged with it, so it is JSON; an empty text counts as no setup. */
  }
  work.value = { day: view.id, draft, isChanged: false };
}

function summary(view: DayView): string {
  const count = (severity: string): number => view.findings.filter((finding) => finding.severity === severity).length;
  return `${count('action')} to put right and ${count('watch')} to keep an eye on`;
}

function statusWords(problems: readonly Problem[], view: DayView | undefined): string {
  if (problems.length > 0) return 'Not used while entries are wrong.';
  if (view === undefined) return '';
  return work.value.isChanged ? 'Changed: the findings still follow the setup before.' : 'The findings follow this setup.';
}

function hasDelaysApart(draft: Draft): boolean {
  const delays = (draft['machine'] as { readonly delays?: { readonly tanks?: unknown; readonly sections?: unknown } } | undefined)?.delays;
  return delays?.tanks !== undefined || delays?.sections !== undefined;
}
