import { useId, useMemo, useState } from 'preact/hooks';
import { channelUnit, contractChannels } from '../../../shared/channel-names.ts';
import type { ColumnGlance } from '../../../shared/glance.ts';
import { formatNumber, shownUnit } from '../../../shared/text.ts';
import { reading } from '../../state.ts';
import { download } from '../frame/download.ts';
import { shownName } from '../frame/names.ts';
import { clashes, columnsFile, likelyUnit, meaningProblem, previewOf, unitChoices, type Mapping, type Meaning } from './mapping.ts';
import { Sparkline } from './sparkline.tsx';

interface MappingProps {
  readonly logs: readonly { readonly file: string; readonly columns: readonly ColumnGlance[] }[];
  /** columns.json that holds already. */
  readonly before?: string | undefined;
  readonly applyLabel: string;
  readonly onApply: (columns: string) => void;
}

/** Headings that name no channel, each with its first values, what it may mean, its unit and a look at the channel it would become. */
export function MappingPanel({ logs, before, applyLabel, onApply }: MappingProps) {
  const [mapping, setMapping] = useState<Mapping>(new Map());
  const list = useId();
  const unknown = logs.map(({ file, columns }) => ({ file, columns: columns.filter((column) => !column.isTime && column.channel === undefined) }));
  const known = logs.flatMap(({ columns }) => columns.filter((column) => column.isTime || column.channel !== undefined));
  const lacksTime = logs.filter(({ columns }) => !columns.some((column) => column.isTime || mapping.get(column.heading)?.channel === 'time'));
  const clash = useMemo(() => new Map(logs.flatMap(({ columns }) => [...clashes(columns, mapping)])), [logs, mapping]);
  const isWrong = [...mapping.values()].some((meaning) => meaningProblem(meaning) !== undefined) || clash.size > 0;
  const set = (heading: string, meaning: Meaning | undefined): void => {
    const next = new Map(mapping);
    if (meaning === undefined) next.delete(heading);
    else next.set(heading, meaning);
    setMapping(next);
  };
  return (
    <section class="mapping" aria-label="Headings that were not understood">
      <datalist id={list}>{['time', ...contractChannels.map((name) => name.replaceAll('N', '1').replaceAll('M', '1'))].map((name) => <option key={name} value={name} />)}</datalist>
      {lacksTime.map(({ file }) => <p key={file} class="field-problem" role="alert">{shownName(file)} has no column that is known to be the time. Say below which one is: type <b>time</b> beside it.</p>)}
      {unknown.map(({ file, columns }) => columns.length > 0 && (
        <div key={file}>
          {logs.length > 1 && <h4>{shownName(file)}</h4>}
          <ul class="heading-list">
            {columns.map((column) => <HeadingRow key={column.heading} column={column} list={list} meaning={mapping.get(column.heading)} onChange={(meaning) => set(column.heading, meaning)} />)}
          </ul>
        </div>
      ))}
      {[...clash].map(([channel, headings]) => <p key={channel} class="field-problem" role="alert">{headings.map(shownName).join(' and ')} would both be {channel}. Give only one of them this meaning.</p>)}
      <div class="row">
        <button type="button" class="main" disabled={mapping.size === 0 || isWrong} onClick={() => onApply(columnsFile(before, mapping))}>{applyLabel}</button>
        <button type="button" disabled={mapping.size === 0 || isWrong} onClick={() => download('columns.json', columnsFile(before, mapping))}>Save columns.json</button>
        <span class="quiet">{mapping.size === 0 ? 'What is left without a meaning stays out of the day; nothing of it is lost.' : 'columns.json, added beside the next log of this kind, spares you this.'}</span>
      </div>
      {known.length > 0 && (
        <details>
          <summary>{known.length === 1 ? 'One heading was' : `${known.length} headings were`} understood</summary>
          <p class="words">{known.map((column) => `${shownName(column.heading)} → ${column.isTime ? 'time' : (column.channel ?? '')}`).join('; ')}</p>
        </details>
      )}
    </section>
  );
}

interface RowProps {
  readonly column: ColumnGlance;
  readonly list: string;
  readonly meaning: Meaning | undefined;
  readonly onChange: (meaning: Meaning | undefined) => void;
}

function HeadingRow({ column, list, meaning, onChange }: RowProps) {
  const id = useId();
  const heading = shownName(column.heading);
  const choose = (text: string): void => {
    const channel = text.trim().toLowerCase();
    onChange(channel === '' ? undefined : { channel, unit: likelyUnit(channel, column.unit) });
  };
  const problem = meaning === undefined ? undefined : meaningProblem(meaning);
  const units = meaning === undefined ? [] : unitChoices(meaning.channel);
  return (
    <li>
      <div class="heading-name"><strong><bdi>{heading}</bdi></strong><span class="quiet">{column.cells.length === 0 ? 'empty in its first rows' : column.cells.map(shownName).join(', ')}</span></div>
      <div class="heading-meaning">
        {column.suggestions.length > 0 && (
          <div class="chips" role="group" aria-label={`What ${heading} may mean`}>
            {column.suggestions.map((channel) => <button type="button" key={channel} class="chip" aria-pressed={meaning?.channel === channel} onClick={() => choose(meaning?.channel === channel ? '' : channel)}>{channel}</button>)}
          </div>
        )}
        <label>Channel <input list={list} value={meaning?.channel ?? ''} placeholder="none: leave it out" spellcheck={false} aria-label={`Channel of ${heading}`} aria-invalid={problem !== undefined} aria-describedby={problem === undefined ? undefined : id} onInput={(event) => choose(event.currentTarget.value)} /></label>
        {meaning !== undefined && units.length > 0 && (
          <label>in <select aria-label={`Unit of ${heading}`} value={meaning.unit} onChange={(event) => onChange({ ...meaning, unit: event.currentTarget.value })}>
            {units.map((unit) => <option key={unit} value={unit}>{unit === '' ? 'dates and clock times' : unit}</option>)}
          </select></label>
        )}
        {problem !== undefined && <p id={id} class="field-problem">{problem}.</p>}
      </div>
      {meaning !== undefined && problem === undefined && meaning.channel !== 'time' && <Preview column={column} meaning={meaning} />}
    </li>
  );
}

function Preview({ column, meaning }: { readonly column: ColumnGlance; readonly meaning: Meaning }) {
  const shown = shownUnit(channelUnit(meaning.channel) ?? '1', reading.value.units);
  const values = previewOf(column, meaning).map((value) => (value === null ? null : shown.convert(value)));
  const numbers = values.filter((value) => value !== null);
  const [least, most] = [Math.min(...numbers), Math.max(...numbers)];
  const say = (value: number): string => `${formatNumber(value, Math.abs(value) < 10 ? 2 : 0)}${shown.label === '' ? '' : ` ${shown.label}`}`;
  return (
    <div class="preview" role="status">
      {numbers.length === 0 ? <span class="quiet">{meaning.channel}: no numbers in the first rows</span> : (
        <><Sparkline values={values} /><span>{meaning.channel}: {say(least)}{most > least ? ` to ${say(most)}` : ''} in the first {column.numbers.length} rows</span></>
      )}
    </div>
  );
}
