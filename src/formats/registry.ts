import { candump } from './candump/candump.ts';
import { candumpSpaced } from './candump-spaced/candump-spaced.ts';
import { csv } from './csv/csv.ts';
import type { LogFormat } from './log-format.ts';
import { n2kText } from './n2k-text/n2k-text.ts';
import { pcap } from './pcap/pcap.ts';
import { pcapng } from './pcapng/pcapng.ts';
import { taskdata } from './taskdata/taskdata.ts';

/** Every log format, in the order in which they are asked. */
export const formats: readonly LogFormat[] = [candump, candumpSpaced, pcap, pcapng, taskdata, n2kText, csv];

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
