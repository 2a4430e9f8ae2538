import type { Problem } from '../../../shared/json-reader.ts';
import { notice } from '../../state.ts';
import { at, edit, pathText, problemWords, work } from './draft.ts';
import { Field } from './field.tsx';
import type { ListPlan } from './fields.ts';
import { entryName } from './place-words.ts';

/** Entries of so few fields stand as the rows of a table; their labels are seen once. */
const MOST_IN_ROW = 4;

/** Towers, tanks, products and their like: as many entries as the machine has. */
export function EntryList({ plan, problems }: { readonly plan: ListPlan; readonly problems: readonly Problem[] }) {
  const value = at(work.value.draft, plan.path);
  const entries: readonly unknown[] = Array.isArray(value) ? value : [];
  const place = pathText(plan.path);
  const general = problems.filter((problem) => problem.path === place || (!Array.isArray(value) && value !== undefined && problem.path === place));
  const add = (): void => {
    edit([...plan.path, entries.length], beginning(plan, entries));
    requestAnimationFrame(() => document.querySelector<HTMLInputElement>(`[data-place="${CSS.escape(`${place}[${entries.length}].${String(plan.fields[0]?.key[0])}`)}"]`)?.focus());
  };
  const remove = (index: number): void => {
    edit([...plan.path, index], undefined);
    notice.value = `${entryName(plan, entries[index], index)} removed.`;
  };
  return (
    <div class={`entries${plan.fields.length <= MOST_IN_ROW ? ' tabular' : ''}`}>
      {plan.title !== '' && <h4>{plan.title}</h4>}
      {general.map((problem) => <p key={problem.message} class="field-problem">{problemWords(problem)}</p>)}
      {entries.length === 0 && <p class="quiet">None entered.</p>}
      {entries.map((entry, index) => {
        const name = entryName(plan, entry, index);
        const base = [...plan.path, index];
        return (
          <fieldset key={index} class="entry">
            <legend>{name}</legend>
            {plan.fields.map((field) => <Field key={field.key.join('.')} plan={field} base={base} problems={problems} of={name} />)}
            <button type="button" class="light" onClick={() => remove(index)}>Remove<span class="unseen"> {name}</span></button>
          </fieldset>
        );
      })}
      <button type="button" onClick={add}>Add a {plan.one}</button>
    </div>
  );
}

/** A new entry starts with the next free number or letter, or with the tank of its place. */
function beginning(plan: ListPlan, entries: readonly unknown[]): unknown {
  const [first] = plan.fields;
  if (first === undefined) return {};
  const isLettered = /^[A-Z]$/.test(first.example.metric);
  const taken = new Set(entries.map((entry) => String(at(entry, first.key))));
  const names = Array.from({ length: entries.length + 1 }, (_, index) => (isLettered ? String.fromCharCode(65 + (index % 26)) : String(index + 1)));
  return { [String(first.key[0])]: plan.one === 'ticket' ? '1' : (names.find((name) => !taken.has(name)) ?? names[0]) };
}
