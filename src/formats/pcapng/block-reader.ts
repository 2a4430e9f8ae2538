import { createBadStretch } from '../bad-stretch.ts';
import type { Window } from '../byte-window.ts';
import { createFrameWriter } from '../frame-writer.ts';
import type { LogSink } from '../log-format.ts';
import { CAN_HEADER, SOCKETCAN, readCanPacket } from '../socketcan-packet.ts';
import { readInterface, type CapturedInterface } from './interface-description.ts';

/** Block types; the section header reads the same in both byte orders. */
export const SECTION_HEADER = 0x0a0d0d0a;
const INTERFACE = 1;
const SIMPLE_PACKET = 3;
const ENHANCED_PACKET = 6;
/** 2 old packet, 4 names, 5 statistics, 10 secrets, 0xBAD copyable custom blocks. */
const FURTHER_TYPES = new Set([2, 4, 5, 10, 0xbad]);
const BYTE_ORDER_MAGIC = 0x1a2b3c4d;
/** Bytes: type, length, length. */
const LEAST_BLOCK = 12;
const LARGEST_BLOCK = 16 * 1024 * 1024;
/** Bytes; what may be taken for a block after damage. */
const LARGEST_LIKELY_BLOCK = 65_536;
const PACKET_HEADER = 20;
const MOST_INTERFACES = 256;

/** Whether the section is little-endian, by the magic number at `at`; undefined when it is neither. */
export function byteOrderOf(view: DataView, at: number): boolean | undefined {
  if (view.getUint32(at, true) === BYTE_ORDER_MAGIC) return true;
  return view.getUint32(at, false) === BYTE_ORDER_MAGIC ? false : undefined;
}

interface OpenInterface extends CapturedInterface {
  readonly bus: number;
}

export function createBlockReader(sink: LogSink): { readonly step: (window: Window) => number; readonly finish: () => void } {
  const writer = createFrameWriter(sink);
  const bad = createBadStretch(sink);
  let interfaces: OpenInterface[] = [];
  let isLittle = true;
  let isInSection = false;
  let position = 0;

  /** Byte order of the block at `at`: a section header brings its own. Undefined when that is damaged. */
  const orderOf = (view: DataView, at: number): boolean | undefined => (view.getUint32(at) === SECTION_HEADER ? byteOrderOf(view, at + 8) : isLittle);

  const problemOf = (view: DataView, at: number): string | undefined => {
    const order = orderOf(view, at);
    if (order === undefined) return 'section header without its byte-order mark';
    const length = view.getUint32(at + 4, order);
    if (length < LEAST_BLOCK) return `block of ${length} bytes, the least is ${LEAST_BLOCK}`;
    if (length % 4 !== 0) return `block of ${length} bytes, which is no multiple of 4`;
    return length > LARGEST_BLOCK ? `block of ${length} bytes, longest allowed is ${LARGEST_BLOCK}` : undefined;
  };

  /** 'unknown' when its end is not at hand yet. */
  const isLikely = ({ view, to, isEnd }: Window, at: number): boolean | 'unknown' => {
    const order = orderOf(view, at);
    if (order === undefined || problemOf(view, at) !== undefined) return false;
    const type = view.getUint32(at, order);
    if (type !== SECTION_HEADER && type !== INTERFACE && type !== SIMPLE_PACKET && type !== ENHANCED_PACKET && !FURTHER_TYPES.has(type)) return false;
    const length = view.getUint32(at + 4, order);
    if (length > LARGEST_LIKELY_BLOCK) return false;
    if (at + length > to) return isEnd ? false : 'unknown';
    return view.getUint32(at + length - 4, order) === length;
  };

  /** Bytes to pass over before a block is likely again, or before there are too few to tell. */
  const findBack = (window: Window): number => {
    const { from, to, offset, isEnd } = window;
    for (let at = from; to - at >= LEAST_BLOCK; at += 1) {
      const likely = isLikely(window, at);
      if (likely === false) continue;
      if (likely === true) bad.close(offset + at - from);
      return at - from;
    }
    return isEnd ? to - from : Math.max(0, to - from - LEAST_BLOCK + 1);
  };

  const packet = ({ buffer, view, offset, from }: Window, size: number, place: { readonly at: number; readonly captured: number; readonly end: number }, source: OpenInterface | undefined, time: number): void => {
    if (source === undefined) return sink.rejected({ offset }, size, 'packet of an interface that was not described');
    if (source.linkType !== SOCKETCAN) return sink.ignored(size, `packet of link type ${source.linkType}, not CAN`, 1);
    if (place.at + place.captured > place.end) return sink.rejected({ offset }, size, `packet of ${place.captured} bytes in a block of ${size}`);
    const frame = readCanPacket(view, place.at, place.captured);
    if (frame.kind === 'rejected') return sink.rejected({ offset: offset + place.at - from }, size, frame.reason);
    if (frame.kind === 'ignored') return sink.ignored(size, frame.rule, 1);
    writer.push(time, source.bus, frame.id, frame.isExtended, buffer, place.at + CAN_HEADER, frame.length);
    sink.accepted(size, 1);
  };

  const enhanced = (window: Window, size: number): void => {
    const { view, from, offset } = window;
    if (size < LEAST_BLOCK + PACKET_HEADER) return sink.rejected({ offset }, size, `packet block of ${size} bytes`);
    const body = from + 8;
    const source = interfaces[view.getUint32(body, isLittle)];
    const stamp = view.getUint32(body + 4, isLittle) * 2 ** 32 + view.getUint32(body + 8, isLittle);
    const time = source === undefined ? Number.NaN : stamp / source.perSecond + source.offset;
    packet(window, size, { at: body + PACKET_HEADER, captured: view.getUint32(body + 12, isLittle), end: from + size - 4 }, source, time);
  };

  const block = (window: Window, type: number, size: number): void => {
    const { view, from } = window;
    if (type === SECTION_HEADER) {
      isLittle = orderOf(view, from) ?? isLittle;
      isInSection = true;
      interfaces = [];
      sink.accepted(size, 0);
    } else if (type === INTERFACE) {
      if (size < LEAST_BLOCK + 8 || interfaces.length >= MOST_INTERFACES) return sink.rejected({ offset: window.offset }, size, size < LEAST_BLOCK + 8 ? `interface block of ${size} bytes` : `more than ${MOST_INTERFACES} interfaces`);
      const found = readInterface(view, from + 8, from + size - 4, isLittle);
      interfaces.push({ ...found, bus: found.linkType === SOCKETCAN ? Math.min(255, sink.bus(found.name ?? `can${interfaces.length}`)) : 0 });
      sink.accepted(size, 0);
    } else if (type === ENHANCED_PACKET) enhanced(window, size);
    else if (type === SIMPLE_PACKET) {
      if (size < LEAST_BLOCK + 4) return sink.rejected({ offset: window.offset }, size, `packet block of ${size} bytes`);
      /* No captured length: what the block holds, at most the original length. */
      packet(window, size, { at: from + 12, captured: Math.min(view.getUint32(from + 8, isLittle), size - 16), end: from + size - 4 }, interfaces[0], Number.NaN);
    } else sink.ignored(size, 'block without frames');
  };

  const step = (window: Window): number => {
    const { view, from, to, offset, isEnd } = window;
    if (bad.isOpen()) {
      const passed = findBack(window);
      if (passed > 0 || bad.isOpen()) return passed;
    }
    const held = to - from;
    if (held >= LEAST_BLOCK) {
      const order = orderOf(view, from);
      const problem = !isInSection && view.getUint32(from) !== SECTION_HEADER ? 'no section header at the start' : problemOf(view, from);
      const size = problem === undefined && order !== undefined ? view.getUint32(from + 4, order) : 0;
      if (problem === undefined && order !== undefined && held >= size) {
        if (view.getUint32(from + size - 4, order) === size) {
          block(window, view.getUint32(from, order), size);
          return size;
        }
        bad.open(offset, 'block whose two lengths differ');
        return 1;
      }
      if (problem !== undefined) {
        bad.open(offset, problem);
        return 1;
      }
    }
    if (!isEnd) return 0;
    /* Either the end of the file is missing, or a damaged length reaches beyond it and whole blocks follow. */
    if (held < LEAST_BLOCK) {
      sink.rejected({ offset }, held, 'cut off at the end of the file');
      return held;
    }
    bad.open(offset, 'cut off at the end of the file, or damaged length');
    return 1;
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
