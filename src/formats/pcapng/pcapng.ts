import type { LogFormat } from '../log-format.ts';
import { throughWindow } from '../byte-window.ts';
import { SECTION_HEADER, byteOrderOf, createBlockReader } from './block-reader.ts';

/** pcapng captures of SocketCAN frames: several sections, several interfaces (each one a bus), either byte order. */
export const pcapng: LogFormat = {
  meta: { id: 'pcapng', title: 'pcapng captures of CAN' },

  sniff: (head) => {
    if (head.length < 12) return 0;
    const view = new DataView(head.buffer, head.byteOffset, head.length);
    return view.getUint32(0) === SECTION_HEADER && byteOrderOf(view, 8) !== undefined ? 1 : 0;
  },

  read: async (bytes, sink) => {
    const reader = createBlockReader(sink);
    await throughWindow(bytes, reader.step);
    reader.finish();
  },
};
