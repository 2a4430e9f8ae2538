import { InputError } from '../../core/errors.ts';
import { createBadStretch } from '../bad-stretch.ts';
import { throughWindow, type Window } from '../byte-window.ts';
import { createFrameWriter } from '../frame-writer.ts';
import type { LogFormat, LogSink } from '../log-format.ts';
import { CAN_HEADER, SOCKETCAN, readCanPacket } from '../socketcan-packet.ts';

/* File layout: tcpdump.org/manpages/pcap-savefile.5 (from memory), and messages.md 10.2. */
const FILE_HEADER = 24;
const RECORD_HEADER = 16;
const MICROSECONDS = 0xa1b2c3d4;
const NANOSECONDS = 0xa1b23c4d;
/** Bytes; the longest packet that is skipped as one (a CAN XL frame needs 2,060). */
const LONGEST_PACKET = 262_144;
/** A file's records are told from noise by these when damage has to be passed. */
const LONGEST_CAN_PACKET = 2080;
const FARTHEST_SECONDS = 366 * 86_400;
/** Classic captures do not name their interface. */
const BUS = 'can0';

interface FileHeader {
  readonly isLittle: boolean;
  /** Units of the fraction per second. */
  readonly perSecond: number;
  readonly linkType: number;
}

/** Classic packet capture of SocketCAN frames. */
export const pcap: LogFormat = {
  meta: { id: 'pcap', title: 'pcap captures of CAN' },

  sniff: (head) => (head.length >= 4 && headerOf(new DataView(head.buffer, head.byteOffset, head.length), 0) !== undefined ? 1 : 0),

  read: async (bytes, sink) => {
    const reader = createRecordReader(sink);
    await throughWindow(bytes, reader.step);
    reader.finish();
  },
};

function headerOf(view: DataView, at: number): FileHeader | undefined {
  for (const isLittle of [true, false]) {
    const magic = view.getUint32(at, isLittle);
    if (magic !== MICROSECONDS && magic !== NANOSECONDS) continue;
    /* The upper bits of the link type hold what is left of the frame's checksum. */
    const linkType = view.byteLength >= at + FILE_HEADER ? view.getUint32(at + 20, isLittle) & 0xffff : SOCKETCAN;
    return { isLittle, perSecond: magic === NANOSECONDS ? 1e9 : 1e6, linkType };
  }
  return undefined;
}

function createRecordReader(sink: LogSink): { readonly step: (window: Window) => number; readonly finish: () => void } {
  const writer = createFrameWriter(sink);
  const bad = createBadStretch(sink);
  let bus = 0;
  let header: FileHeader | undefined;
  let lastSeconds = Number.NaN;
  let position = 0;

  const begin = ({ view, from, to, offset, isEnd }: Window): number => {
    if (to - from < FILE_HEADER) {
      if (!isEnd) return 0;
      sink.rejected({ offset }, to - from, 'cut off within the file header');
      return to - from;
    }
    header = headerOf(view, from);
    if (header === undefined) throw new InputError('no-pcap', 'This is no pcap capture: its first bytes are not those of one.', 'Check the file.');
    if (header.linkType !== SOCKETCAN) {
      throw new InputError('not-can', `The capture holds packets of link type ${header.linkType}, not CAN (${SOCKETCAN}).`, 'Record the CAN interface itself, for example can0.');
    }
    bus = sink.bus(BUS);
    sink.accepted(FILE_HEADER, 0);
    return FILE_HEADER;
  };

  const problemOf = ({ isLittle, perSecond }: FileHeader, view: DataView, at: number): string | undefined => {
    const captured = view.getUint32(at + 8, isLittle);
    if (view.getUint32(at + 4, isLittle) >= perSecond) return 'record header with a fraction of more than a second';
    return captured > LONGEST_PACKET ? `record of ${captured} bytes, longest allowed is ${LONGEST_PACKET}` : undefined;
  };

  /** Stricter, for finding back: must look like a CAN record near in time to what was read before. */
  const isLikely = (known: FileHeader, { view, to }: Window, at: number): boolean => {
    if (to - at < RECORD_HEADER + CAN_HEADER || problemOf(known, view, at) !== undefined) return false;
    const captured = view.getUint32(at + 8, known.isLittle);
    const original = view.getUint32(at + 12, known.isLittle);
    if (captured < CAN_HEADER || captured > LONGEST_CAN_PACKET || original < captured || original > LONGEST_CAN_PACKET) return false;
    if (Math.abs(view.getUint32(at, known.isLittle) - lastSeconds) > FARTHEST_SECONDS) return false;
    return readCanPacket(view, at + RECORD_HEADER, captured).kind !== 'rejected';
  };

  /** Bytes to pass over before a record is likely again, or before there are too few to tell. */
  const findBack = (known: FileHeader, window: Window): number => {
    const { from, to, offset, isEnd } = window;
    for (let at = from; to - at >= RECORD_HEADER + CAN_HEADER; at += 1) {
      if (!isLikely(known, window, at)) continue;
      bad.close(offset + at - from);
      return at - from;
    }
    return isEnd ? to - from : Math.max(0, to - from - RECORD_HEADER - CAN_HEADER + 1);
  };

  const record = (known: FileHeader, { buffer, view, from, offset }: Window, captured: number): number => {
    const size = RECORD_HEADER + captured;
    const packet = readCanPacket(view, from + RECORD_HEADER, captured);
    const seconds = view.getUint32(from, known.isLittle);
    if (packet.kind === 'rejected') {
      bad.open(offset, packet.reason);
      return 1;
    }
    lastSeconds = seconds;
    if (packet.kind === 'frame') {
      const fraction = view.getUint32(from + 4, known.isLittle);
      const time = known.perSecond === 1e6 ? (seconds * 1e6 + fraction) / 1e6 : seconds + fraction / known.perSecond;
      writer.push(time, bus, packet.id, packet.isExtended, buffer, from + RECORD_HEADER + CAN_HEADER, packet.length);
      sink.accepted(size, 1);
    } else sink.ignored(size, packet.rule, 1);
    return size;
  };

  const step = (window: Window): number => {
    const { view, from, to, offset, isEnd } = window;
    if (header === undefined) return begin(window);
    if (bad.isOpen()) {
      const passed = findBack(header, window);
      if (passed > 0 || bad.isOpen()) return passed;
    }
    const held = to - from;
    const problem = held < RECORD_HEADER ? undefined : problemOf(header, view, from);
    if (problem !== undefined) {
      bad.open(offset, problem);
      return 1;
    }
    const captured = held < RECORD_HEADER ? 0 : view.getUint32(from + 8, header.isLittle);
    if (held >= RECORD_HEADER + captured) return record(header, window, captured);
    if (!isEnd) return 0;
    sink.rejected({ offset }, held, 'cut off at the end of the file');
    return held;
  };

  return {
    step: (window) => {
      const done = step(window);
      position = window.offset + done;
      return done;
    },
    finish: () => {
      bad.close(position);
      writer.flush();
    },
  };
}
