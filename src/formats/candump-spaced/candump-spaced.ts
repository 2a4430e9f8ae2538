import { createFrameWriter } from '../frame-writer.ts';
import type { LogFormat } from '../log-format.ts';
import { ACCEPTED, claimOf, headLines, ignored, readTextLines, rejected } from '../text-lines.ts';
import { createDeltaTimes } from './delta-times.ts';
import { readScreenLine } from './screen-line.ts';

/** candump's screen form, `  can0  0CFE4822   [8]  12 34 …`, with or without time stamps, and the older `<0x0cfe4822> [8] 12 34 …`. */
export const candumpSpaced: LogFormat = {
  meta: { id: 'candump-spaced', title: 'candump screen output' },

  sniff: (head) => {
    let records = 0;
    let others = 0;
    for (const line of headLines(head)) {
      const { kind } = readScreenLine(line);
      if (kind === 'frame' || kind === 'left-out') records += 1;
      else if (kind !== 'remark') others += 1;
    }
    return claimOf(records, others);
  },

  read: async (bytes, sink) => {
    const deltas = createDeltaTimes();
    const writer = createFrameWriter(sink, deltas.apply);
    await readTextLines(bytes, sink, (line, isCut) => {
      const found = readScreenLine(line);
      if (found.kind === 'remark' || found.kind === 'left-out') return ignored(found.rule);
      if (found.kind === 'damage') return rejected(found.reason);
      /* The length is written before the data, so that a line cut in its last byte cannot pass as whole; one cut in its ASCII column is whole. */
      if (isCut && found.data.length === 0) return rejected('cut off at the end of the file');
      writer.push(found.time, sink.bus(found.bus), found.id, found.isExtended, found.data, 0, found.data.length);
      return ACCEPTED;
    });
    writer.flush();
    for (const note of deltas.notes()) sink.note(note);
  },
};
