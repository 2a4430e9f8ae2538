import { signal } from '@preact/signals';
import { filesOf, givenOf } from './dropped.ts';
import { offer } from './offered.ts';

/** Whether files are being held over the page. */
export const isHeldOver = signal(false);

/** Takes files that are dropped or pasted anywhere on the page, at any time. */
export function takeFilesAnywhere(): () => void {
  let depth = 0;
  const hasFiles = (event: DragEvent): boolean => event.dataTransfer?.types.includes('Files') === true;
  const enter = (event: DragEvent): void => {
    if (!hasFiles(event)) return;
    depth += 1;
    isHeldOver.value = true;
  };
  const over = (event: DragEvent): void => {
    if (hasFiles(event)) event.preventDefault();
  };
  const leave = (event: DragEvent): void => {
    if (!hasFiles(event)) return;
    depth = Math.max(0, depth - 1);
    if (depth === 0) isHeldOver.value = false;
  };
  const drop = (event: DragEvent): void => {
    depth = 0;
    isHeldOver.value = false;
    if (event.dataTransfer === null || !hasFiles(event)) return;
    event.preventDefault();
    void filesOf(event.dataTransfer).then(offer);
  };
  const paste = (event: ClipboardEvent): void => {
    if (event.clipboardData === null || isTyping(event.target)) return;
    if (event.clipboardData.files.length > 0) void offer([...event.clipboardData.files].map(givenOf));
    else {
      const text = event.clipboardData.getData('text/plain');
      if (text.trim() === '') return;
      const isJson = text.trimStart().startsWith('{');
      void offer([{ name: isJson ? 'pasted.json' : 'pasted.txt', body: new Blob([text]) }]);
    }
    event.preventDefault();
  };
  const events = [['dragenter', enter], ['dragover', over], ['dragleave', leave], ['drop', drop], ['paste', paste]] as const;
  for (const [name, listener] of events) addEventListener(name, listener as EventListener);
  return () => {
    for (const [name, listener] of events) removeEventListener(name, listener as EventListener);
  };
}

const isTyping = (target: EventTarget | null): boolean => target instanceof Element && target.closest('input, textarea, select, [contenteditable]') !== null;
