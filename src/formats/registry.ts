import { candump } from './candump/candump.ts';
import { csv } from './csv/csv.ts';
import type { LogFormat } from './log-format.ts';

/** Every log format, in the order in which they are asked. */
export const formats: readonly LogFormat[] = [candump, csv];

/** The format that claims these first 64 KiB most strongly; undefined when none does. */
export function recognise(head: Uint8Array): LogFormat | undefined {
  let best: LogFormat | undefined;
  let bestClaim = 0;
  for (const format of formats) {
    const claim = format.sniff(head);
    if (claim > bestClaim) {
      best = format;
      bestClaim = claim;
    }
  }
  return best;
}
