import { useId } from 'preact/hooks';
import type { Problem } from '../../../shared/json-reader.ts';
import { reading } from '../../state.ts';
import { at, edit, pathText, problemWords, work, type Path } from './draft.ts';
import { echoOf, withUnit } from './echo.ts';
import { usualUnit, type FieldPlan } from './fields.ts';

interface FieldProps {
  readonly plan: FieldPlan;
  /** Where its list entry lies; empty for single fields. */
  readonly base: Path;
  readonly problems: readonly Problem[];
  /** What the entry is part of, for readers who hear one field at a time, e.g. `tower 2`. */
  readonly of?: string;
}

/** One entry of the form with its unit, its meaning and, beside it, what is is-wrong with it. */
export function Field({ plan, base, problems, of }: FieldProps) {
  const id = useId();
  const path = [...base, ...plan.key];
  const value = at(work.value.draft, path);
  const place = pathText(path);
  const own = problemsAt(problems, place, pathText(base), plan);
  const label = `${plan.label}${of === undefined ? '' : `, ${of}`}`;
  if (plan.kind === 'flag') {
    return <label class="check" data-place={place}><input type="checkbox" checked={value === true} aria-label={label} onChange={(event) => edit(path, event.currentTarget.checked ? true : undefined)} /> {plan.label}</label>;
  }
  const typed = textOf(value);
  const echo = plan.dimension === undefined || typed.includes('/1000') ? undefined : echoOf(typed.replace(/\s*\/\s*(?:turn|rev)$/, ''), plan.dimension, reading.value);
  const notes = [...(own.length > 0 ? [`${id}p`] : []), ...(plan.hint !== undefined ? [`${id}h`] : [])].join(' ');
  const write = (text: string): void => edit(path, plan.kind === 'list' ? listOf(text) : text === '' ? undefined : text);
  return (
    <div class={`entry-field${own.length > 0 ? ' is-wrong' : ''}${plan.isWide === true ? ' is-wide' : ''}`}>
      <label for={id}>{plan.label}</label>
      <input type="text" id={id} data-place={place} value={typed} placeholder={plan.example[reading.value.units]} spellcheck={false} autocomplete="off" aria-label={label} aria-invalid={own.length > 0} aria-required={plan.isNeeded === true}
        list={plan.kind === 'zone' ? 'zones' : undefined} aria-describedby={notes === '' ? undefined : notes}
        onInput={(event) => write(event.currentTarget.value)}
        onBlur={(event) => {
          const complete = plan.kind === 'quantity' ? withUnit(event.currentTarget.value, usualUnit(plan, reading.value.units)) : event.currentTarget.value;
          if (typeof value === 'string' && complete !== value) write(complete);
        }} />
      {echo !== undefined && own.length === 0 && <span class="echo">{echo}</span>}
      {own.length > 0 && <p id={`${id}p`} class="field-problem">{own.join(' ')}</p>}
      {plan.hint !== undefined && <p id={`${id}h`} class="note">{plan.hint}</p>}
    </div>
  );
}

/** Problems of a field: those at its place, and those of its entry or section that name it as lacking. */
function problemsAt(problems: readonly Problem[], place: string, base: string, plan: FieldPlan): readonly string[] {
  const key = String(plan.key.at(-1));
  return problems.flatMap((problem) => {
    if (problem.path === place || problem.path.startsWith(`${place}[`)) return [problemWords(problem)];
    const parent = base === '' ? place.slice(0, place.lastIndexOf('.')) : base;
    if (problem.path === parent && problem.message.includes(`"${key}"`) && /lacks|needs both/.test(problem.message)) return [problem.message.includes('lacks') ? `Still needed. ${problem.whatToDo.replace(/^Add .*/, `For example ${plan.example.metric}.`)}` : problemWords(problem)];
    return [];
  });
}

const textOf = (value: unknown): string => (Array.isArray(value) ? value.map(String).join(', ') : value === undefined || value === null ? '' : typeof value === 'object' ? JSON.stringify(value) : String(value));

/** Commas part the entries; the one being typed keeps its blanks. */
function listOf(text: string): readonly string[] | undefined {
  const entries = text.split(',').map((entry) => entry.trimStart());
  return text.trim() === '' ? undefined : entries;
}
