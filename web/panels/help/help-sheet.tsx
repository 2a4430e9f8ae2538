import { signal } from '@preact/signals';
import { useEffect, useRef } from 'preact/hooks';
import { areKeysOn, setKeysOn } from '../replay/shortcuts.ts';
import { KEY_GROUPS } from './key-list.ts';

export const isHelpOpen = signal(false);

/** All keys, and the switch that turns single-letter keys off. */
export function HelpSheet() {
  const sheet = useRef<HTMLDialogElement>(null);
  useEffect(() => {
    const keys = (event: KeyboardEvent): void => {
      if (event.key !== '?' || !areKeysOn.value || event.ctrlKey || event.metaKey || event.altKey) return;
      if (event.target instanceof Element && event.target.closest('input, select, textarea') !== null) return;
      event.preventDefault();
      isHelpOpen.value = !isHelpOpen.value;
    };
    addEventListener('keydown', keys);
    return () => removeEventListener('keydown', keys);
  }, []);
  useEffect(() => {
    if (isHelpOpen.value) sheet.current?.showModal();
    else sheet.current?.close();
  }, [isHelpOpen.value]);
  return (
    <dialog ref={sheet} class="help" aria-labelledby="help-title" onClose={() => { isHelpOpen.value = false; }}>
      <div class="help-head">
        <h2 id="help-title">Keys</h2>
        <button type="button" onClick={() => { isHelpOpen.value = false; }}>Close</button>
      </div>
      {KEY_GROUPS.map(({ where, lines }) => (
        <section key={where}>
          <h3>{where}</h3>
          <dl>{lines.map(({ keys, does }) => <div key={does}><dt>{keys.map((key) => <kbd key={key}>{key}</kbd>)}</dt><dd>{does}</dd></div>)}</dl>
        </section>
      ))}
      <p><label class="check"><input type="checkbox" checked={areKeysOn.value} onChange={(event) => setKeysOn(event.currentTarget.checked)} /> Keys of a single character are on</label><br />
        <span class="quiet">Turn them off when you speak to the computer or press keys by accident. Everything has a button too.</span></p>
      <p class="quiet">With the hand: drag over a plot to look closer, Ctrl and wheel to zoom about the pointer, Shift and drag to move along.</p>
    </dialog>
  );
}
