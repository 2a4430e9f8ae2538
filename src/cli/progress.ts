import type { Terminal } from './command.ts';

export interface Progress {
  readonly update: (state: { readonly file: string; readonly bytes: number; readonly total: number }) => void;
  readonly end: () => void;
}

const REDRAW_MILLISECONDS = 200;

/** One line on stderr that redraws itself; silent when stderr is not a terminal. */
export function createProgress(terminal: Terminal, quiet: boolean): Progress {
  if (quiet || !terminal.errIsTerminal) return { update: () => undefined, end: () => undefined };
  const started = Date.now();
  let drawn = 0;
  return {
    update: ({ file, bytes, total }) => {
      const now = Date.now();
      if (now - drawn < REDRAW_MILLISECONDS) return;
      drawn = now;
      const rate = bytes / 1e6 / Math.max(0.001, (now - started) / 1000);
      const share = total > 0 ? `${Math.min(100, Math.round((bytes / total) * 100))} %` : '';
      terminal.err(`\r\u001B[Kreading ${file} ${share} ${rate.toFixed(0)} MB/s`);
    },
    end: () => {
      if (drawn > 0) terminal.err('\r\u001B[K');
    },
  };
}
