import { useState } from 'preact/hooks';
import type { ErrorReply } from '../../../shared/api.ts';
import { formatNumber } from '../../../shared/text.ts';
import { ServerError, api } from '../../api.ts';
import { go } from '../../state.ts';
import { Trouble } from '../frame/trouble.tsx';
import { roleOf, type FileRole } from './file-role.ts';

interface Offered { readonly file: File; readonly role: FileRole }

/** Where a day begins: logs and the files beside them, dropped or browsed; or the sample day. */
export function Intake() {
  const [offered, setOffered] = useState<readonly Offered[]>([]);
  const [isOver, setIsOver] = useState(false);
  const [busy, setBusy] = useState<string>();
  const [problem, setProblem] = useState<ErrorReply>();

  const add = async (files: readonly File[]): Promise<void> => {
    const added = await Promise.all(files.map(async (file) => ({ file, role: await roleOf(file) })));
    setOffered([...offered, ...added]);
    setProblem(undefined);
  };
  const attempt = async (work: () => Promise<string>): Promise<void> => {
    try {
      setProblem(undefined);
      go({ day: await work(), reading: 'fix', finding: undefined, from: undefined, to: undefined });
    } catch (error) {
      setBusy(undefined);
      setProblem(error instanceof ServerError ? error.reply : { kind: 'internal', message: String(error), whatToDo: 'Reload the page.' });
    }
  };
  const open = (): Promise<void> => attempt(async () => {
    const logs = offered.filter((entry) => entry.role === 'log');
    const uploads: string[] = [];
    for (const { file } of logs) {
      setBusy(`Handing over ${file.name}…`);
      uploads.push((await api.upload(file)).upload);
    }
    const textOf = async (role: FileRole): Promise<string | undefined> => offered.find((entry) => entry.role === role)?.file.text();
    const [setup, signals, columns] = await Promise.all([textOf('setup'), textOf('signals'), textOf('columns')]);
    const { id } = await api.open({ uploads, ...(setup === undefined ? {} : { setup }), ...(signals === undefined ? {} : { signals }), ...(columns === undefined ? {} : { columns }) });
    return id;
  });

  return (
    <section class="intake">
      <h2>Which day?</h2>
      <p>Add the logs of one day, from the cart and the tractor, and setup.json, signals.json or columns.json if you have them. Nothing leaves this computer.</p>
      {problem !== undefined && <Trouble reply={problem} />}
      <div class={`drop${isOver ? ' over' : ''}`}
        onDragOver={(event) => { event.preventDefault(); setIsOver(true); }}
        onDragLeave={() => setIsOver(false)}
        onDrop={(event) => { event.preventDefault(); setIsOver(false); void add([...(event.dataTransfer?.files ?? [])]); }}>
        <p>Drop files here</p>
        <label class="button">
          Browse for files
          <input class="unseen" type="file" multiple onChange={(event) => void add([...(event.currentTarget.files ?? [])])} />
        </label>
      </div>
      {offered.length > 0 && (
        <ul class="file-list">
          {offered.map((entry) => (
            <li key={entry.file.name}>
              <span class="grow">{entry.file.name}</span>
              <span class="quiet">{ROLE_WORDS[entry.role]}, {formatNumber(entry.file.size / 1e6, 2)} MB</span>
              <button type="button" onClick={() => setOffered(offered.filter((other) => other !== entry))}>Remove<span class="unseen"> {entry.file.name}</span></button>
            </li>
          ))}
        </ul>
      )}
      <div class="row">
        <button type="button" class="main" disabled={busy !== undefined || !offered.some((entry) => entry.role === 'log')} onClick={() => void open()}>Read the day</button>
        <button type="button" disabled={busy !== undefined} onClick={() => void attempt(async () => (await api.openSample()).id)}>Look at the sample day</button>
        {busy !== undefined && <span class="quiet" role="status">{busy}</span>}
      </div>
    </section>
  );
}

const ROLE_WORDS: Readonly<Record<FileRole, string>> = { log: 'log', setup: 'the machine and the job', signals: 'CAN signals', columns: 'meaning of headings' };
