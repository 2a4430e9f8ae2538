import { useState } from 'preact/hooks';
import { formatDuration } from '../../../shared/text.ts';
import { shownName, shownSize, visible } from '../frame/names.ts';
import type { FileRole } from './file-role.ts';
import { MappingPanel } from './mapping-panel.tsx';
import { isTaskPart, offer, offered, textFor, withdraw, type Offered } from './offered.ts';

const ROLE_WORDS: Readonly<Record<Exclude<FileRole, 'log' | 'archive'>, string>> = {
  setup: 'the machine and the job (setup.json)',
  signals: 'meanings of CAN signals',
  columns: 'meanings of CSV headings (columns.json)',
};
/** ms; the time left is a guess before. */
const GUESS_AFTER = 3000;

/** What was added, and what became of each file. */
export function FileList() {
  if (offered.value.length === 0) return null;
  return <ul class="file-list" aria-label="Files added">{offered.value.map((file) => <FileRow key={file.key} file={file} />)}</ul>;
}

function FileRow({ file }: { readonly file: Offered }) {
  const [isMapping, setMapping] = useState(false);
  const name = shownName(file.name);
  const columns = file.glance?.columns ?? [];
  const lacksTime = columns.length > 0 && !columns.some((column) => column.isTime) && textFor('columns') === undefined;
  const unknown = columns.filter((column) => !column.isTime && column.channel === undefined).length;
  return (
    <li class={file.state}>
      <div class="file-line">
        <span class="file-name"><bdi>{name}</bdi> <span class="quiet">{shownSize(file.size)}</span></span>
        <span class="file-words">{wordsFor(file)}</span>
        <button type="button" onClick={() => withdraw(file.key)}>{file.state === 'sending' ? 'Cancel' : 'Remove'}<span class="unseen"> {name}</span></button>
      </div>
      {file.state === 'sending' && <Sending file={file} />}
      {file.problem !== undefined && <p class="field-problem">{visible(file.problem.message)} {file.problem.whatToDo} It stays out of the day.</p>}
      {lacksTime && <p class="field-problem">No column of it is known to be the time, so it cannot be read yet.</p>}
      {unknown > 0 && file.state === 'ready' && (
        <button type="button" aria-expanded={isMapping || lacksTime} onClick={() => setMapping(!isMapping)}>Say what {unknown === 1 ? 'one heading means' : `${unknown} headings mean`}</button>
      )}
      {(isMapping || lacksTime) && unknown > 0 && (
        <MappingPanel logs={[{ file: file.name, columns }]} before={textFor('columns')} applyLabel="Use these meanings" onApply={(text) => {
          setMapping(false);
          void offer([{ name: 'columns.json', body: new Blob([text]) }]);
        }} />
      )}
    </li>
  );
}

function wordsFor(file: Offered): string {
  const { role, state, glance } = file;
  if (state === 'waiting') return 'waits its turn';
  if (state === 'sending') return 'being handed over';
  if (state === 'looking') return 'being looked at…';
  if (state === 'unusable') return 'not used';
  if (role !== 'log') return ROLE_WORDS[role];
  if (isTaskPart(file)) return 'part of task data, read through its TASKDATA.XML';
  const columns = glance?.columns;
  return `${glance?.format?.title ?? 'log'}${columns === undefined ? '' : `, ${columns.length} columns`}`;
}

function Sending({ file }: { readonly file: Offered }) {
  const milliseconds = Date.now() - file.startedAt;
  const rate = file.sent / Math.max(0.05, milliseconds / 1000);
  const left = rate > 0 ? (file.size - file.sent) / rate : undefined;
  return (
    <div class="progress">
      <progress value={file.size === 0 ? 1 : file.sent / file.size} aria-label={`Handing over ${shownName(file.name)}`} />
      <span class="quiet">{shownSize(file.sent)} of {shownSize(file.size)}, {shownSize(rate)}/s{left !== undefined && milliseconds > GUESS_AFTER ? `, ${formatDuration(Math.ceil(left), 0)} left` : ''}</span>
    </div>
  );
}
