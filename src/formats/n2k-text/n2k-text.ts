import type { LogFormat } from '../log-format.ts';
import { ACCEPTED, claimOf, headLines, ignored, readTextLines, rejected } from '../text-lines.ts';
import { createMessageWriter } from './message-writer.ts';
import { isRemark, readMessageLine } from './message-line.ts';

/** Text lines of NMEA 2000 messages as gateways and canboat write them: PLAIN and FAST, N2K ASCII, RAW, PCDIN, MXPGN, PDGY. */
export const n2kText: LogFormat = {
  meta: { id: 'n2k-text', title: 'NMEA 2000 text lines' },

  sniff: (head) => {
    let records = 0;
    let others = 0;
    for (const line of headLines(head)) {
      if (typeof readMessageLine(line) === 'object') records += 1;
      else if (isRemark(line) === undefined) others += 1;
    }
    return claimOf(records, others);
  },

  read: async (bytes, sink, context) => {
    const writer = createMessageWriter(sink, context?.zone ?? 'UTC');
    await readTextLines(bytes, sink, (line, isCut) => {
      const remark = isRemark(line);
      if (remark !== undefined) return ignored(remark);
      const message = readMessageLine(line);
      if (typeof message === 'string') return rejected(message);
      if (message.pgn > LARGEST_PGN) return ignored("gateway's own message");
      if (isCut && !message.isSurelyWhole) return rejected('cut off at the end of the file');
      writer.push(message);
      return ACCEPTED;
    });
    writer.finish();
  },
};

/** 18 bits fit into an identifier; gateways number messages of their own above. */
const LARGEST_PGN = 0x3ffff;
