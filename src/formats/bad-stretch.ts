import type { LogSink } from './log-format.ts';

/** A stretch of a binary log without sense: one bad record from where it began to where a record is plausible again. */
export interface BadStretch {
  readonly isOpen: () => boolean;
  readonly open: (offset: number, reason: string) => void;
  /** Does nothing when none is open. */
  readonly close: (offset: number) => void;
}

export function createBadStretch(sink: LogSink): BadStretch {
  let from = -1;
  let why = '';
  return {
    isOpen: () => from >= 0,
    open: (offset, reason) => {
      from = offset;
      why = reason;
    },
    close: (offset) => {
      if (from >= 0) sink.rejected({ offset: from }, offset - from, why);
      from = -1;
    },
  };
}
