import type { LogFormat } from '../log-format.ts';
import { lineBlocks } from '../line-blocks.ts';
import { createFrameLane } from './frame-lane.ts';

/** A record of the log form, from the start of the line to the identifier's `#`. */
const RECORD = /^\(\d{1,12}\.\d{1,9}\) +\S{1,32} +(?:[0-9A-Fa-f]{3}|[0-9A-Fa-f]{5}|[0-9A-Fa-f]{8})#/;

/** candump's log form (`candump -L`, `-l`, `-f`): `(seconds.fraction) interface ID#DATA`. */
export const candump: LogFormat = {
  meta: { id: 'candump', title: 'candump log lines' },

  sniff: (head) => {
    const lines = Buffer.from(head.buffer, head.byteOffset, Math.min(head.length, 65_536)).toString('latin1').split('\n');
    const records = lines.filter((line) => RECORD.test(line)).length;
    const others = lines.filter((line) => line.trim() !== '' && !line.startsWith('#') && !line.startsWith('DROPCOUNT')).length - records;
    if (records === 0) return 0;
    return records >= others ? 0.95 : 0.9 * (records / (records + others));
  },

  read: async (bytes, sink) => {
    const lane = createFrameLane(sink);
    for await (const block of lineBlocks(bytes)) lane.lines(block);
    lane.finish();
  },
};
