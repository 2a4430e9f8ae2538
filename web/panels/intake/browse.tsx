import { useRef } from 'preact/hooks';
import { givenOf } from './dropped.ts';
import { offer } from './offered.ts';

/** Buttons that open the computer's own file chooser, for files and for a whole folder. */
export function Browse() {
  const files = useRef<HTMLInputElement>(null);
  const folder = useRef<HTMLInputElement>(null);
  const take = (input: HTMLInputElement): void => {
    const given = [...(input.files ?? [])].map(givenOf);
    input.value = '';
    void offer(given);
  };
  return (
    <span class="browse">
      <button type="button" onClick={() => files.current?.click()}>Browse for files…</button>
      <button type="button" onClick={() => folder.current?.click()}>Take a folder…</button>
      <input ref={files} hidden type="file" multiple aria-label="Files of the day" onChange={(event) => take(event.currentTarget)} />
      <input ref={folder} hidden type="file" multiple {...{ webkitdirectory: true }} aria-label="Folder of the day" onChange={(event) => take(event.currentTarget)} />
    </span>
  );
}
