import { GLOBAL_ADDRESS } from './identifier.ts';

/** Transport protocols of ISO 11783-3 / SAE J1939-21: up to 1785 bytes (TP), and longer ones (ETP). */
export const TP_CONTROL = 60416;
export const TP_DATA = 60160;
export const ETP_CONTROL = 51200;
export const ETP_DATA = 50944;

export interface Transport {
  /** One frame of the four groups above, padded to 8 bytes. `address` tells the bus and who sends to whom. */
  readonly push: (pgn: number, address: TransferAddress, time: number, frames: Uint8Array, offset: number) => void;
  /** Transfers that began and never completed: aborted, late, frames missing, or still open. */
  readonly lost: () => number;
  readonly openSessions: () => number;
}

export interface TransferAddress {
  readonly bus: number;
  readonly source: number;
  readonly destination: number;
}

/** A message put together; `data` is its own. */
export type Delivery = (pgn: number, address: TransferAddress, time: number, data: Uint8Array) => void;

const CONTROL = { requestToSend: 0x10, clearToSend: 0x11, endOfMessage: 0x13, broadcast: 0x20, longRequest: 0x14, longClear: 0x15, longOffset: 0x16, longEnd: 0x17, abort: 0xff } as const;
const PACKET_BYTES = 7;
const LONGEST_TP = 1785;
/** Far above any object pool met in practice; a longer transfer is not kept. */
const LONGEST_KEPT = 4 * 1024 * 1024;
/** s; the longest time the standards let pass between two messages of one session (T2, T3). */
const LONGEST_PAUSE = 1.25;
/** Packets that one clear-to-send or data-offset message can cover. */
const LARGEST_WINDOW = 255;
const MOST_SESSIONS = 64;

interface Session {
  readonly pgn: number;
  readonly size: number;
  readonly packets: number;
  readonly isLong: boolean;
  bytes: Uint8Array;
  readonly received: Uint8Array;
  missing: number;
  /** Packets before the window that the last data-offset message opened. */
  windowStart: number;
  /** Highest packet so far, from 1. */
  highest: number;
  time: number;
}

/** `wanted`: only messages of these groups are put together. Memory stays within 64 sessions of data really received. */
export function createTransport(wanted: (pgn: number) => boolean, deliver: Delivery): Transport {
  const sessions = new Map<number, Session>();
  let lost = 0;

  /* At most one session per direction and protocol; a broadcast goes to 255. */
  const keyOf = (address: TransferAddress, isLong: boolean): number => ((address.bus * 256 + address.source) * 256 + address.destination) * 2 + (isLong ? 1 : 0);
  const back = (address: TransferAddress): TransferAddress => ({ bus: address.bus, source: address.destination, destination: address.source });
  const drop = (key: number): void => {
    if (sessions.delete(key)) lost += 1;
  };

  const open = (key: number, time: number, session: { readonly pgn: number; readonly size: number; readonly packets: number; readonly isLong: boolean }): void => {
    drop(key);
    const isPossible = session.isLong ? session.size > LONGEST_TP && session.size <= LONGEST_KEPT : session.size > 8 && session.size <= LONGEST_TP;
    if (!isPossible || !wanted(session.pgn) || session.packets !== Math.ceil(session.size / PACKET_BYTES)) return;
    if (sessions.size >= MOST_SESSIONS) drop(sessions.keys().next().value as number);
    sessions.set(key, {
      ...session,
      bytes: new Uint8Array(Math.min(session.packets * PACKET_BYTES, LONGEST_TP)),
      received: new Uint8Array(Math.ceil(session.packets / 8)),
      missing: session.packets, windowStart: 0, highest: 0, time,
    });
  };

  const control = (address: TransferAddress, time: number, frames: Uint8Array, offset: number): void => {
    const byte = (index: number): number => frames[offset + index] as number;
    const pgn = byte(5) | byte(6) << 8 | byte(7) << 16;
    const shortSize = byte(1) | byte(2) << 8;
    switch (byte(0)) {
      case CONTROL.broadcast:
        if (address.destination === GLOBAL_ADDRESS) open(keyOf(address, false), time, { pgn, size: shortSize, packets: byte(3), isLong: false });
        break;
      case CONTROL.requestToSend:
        open(keyOf(address, false), time, { pgn, size: shortSize, packets: byte(3), isLong: false });
        break;
      case CONTROL.longRequest: {
        const size = (byte(1) | byte(2) << 8 | byte(3) << 16 | byte(4) << 24) >>> 0;
        open(keyOf(address, true), time, { pgn, size, packets: Math.ceil(size / PACKET_BYTES), isLong: true });
        break;
      }
      case CONTROL.longOffset: {
        const session = sessions.get(keyOf(address, true));
        const start = byte(2) | byte(3) << 8 | byte(4) << 16;
        if (session === undefined || session.pgn !== pgn) break;
        /* What was cleared may be sent again, but nothing can be skipped. */
        if (start > session.highest) drop(keyOf(address, true));
        session.windowStart = start;
        session.time = time;
        break;
      }
      case CONTROL.clearToSend:
      case CONTROL.longClear: {
        /* The receiver's word: it keeps the sender's session alive, also when it asks to wait. */
        const session = sessions.get(keyOf(back(address), byte(0) === CONTROL.longClear));
        if (session !== undefined && session.pgn === pgn) session.time = time;
        break;
      }
      case CONTROL.endOfMessage:
        drop(keyOf(back(address), false));
        break;
      case CONTROL.longEnd:
        drop(keyOf(back(address), true));
        break;
      case CONTROL.abort:
        for (const key of [keyOf(address, false), keyOf(back(address), false), keyOf(address, true), keyOf(back(address), true)]) {
          if (sessions.get(key)?.pgn === pgn) drop(key);
        }
        break;
      default:
    }
  };

  const data = (address: TransferAddress, isLong: boolean, time: number, frames: Uint8Array, offset: number): void => {
    const key = keyOf(address, isLong);
    const session = sessions.get(key);
    if (session === undefined) return;
    const packet = session.windowStart + (frames[offset] as number);
    const pause = time - session.time;
    if (pause > LONGEST_PAUSE || pause < -LONGEST_PAUSE || packet > session.highest + LARGEST_WINDOW) return drop(key);
    if (packet < 1 || packet > session.packets) return;
    session.time = time;
    session.highest = Math.max(session.highest, packet);
    const start = (packet - 1) * PACKET_BYTES;
    if (start + PACKET_BYTES > session.bytes.length) {
      const grown = new Uint8Array(Math.min(session.packets * PACKET_BYTES, Math.max(start + PACKET_BYTES, session.bytes.length * 2)));
      grown.set(session.bytes);
      session.bytes = grown;
    }
    for (let i = 0; i < PACKET_BYTES; i++) session.bytes[start + i] = frames[offset + 1 + i] as number;
    const cell = (packet - 1) >> 3;
    const bit = 1 << ((packet - 1) & 7);
    if (((session.received[cell] as number) & bit) !== 0) return;
    session.received[cell] = (session.received[cell] as number) | bit;
    session.missing -= 1;
    if (session.missing > 0) return;
    sessions.delete(key);
    deliver(session.pgn, address, time, session.bytes.slice(0, session.size));
  };

  return {
    push: (pgn, address, time, frames, offset) => {
      if (pgn === TP_CONTROL || pgn === ETP_CONTROL) control(address, time, frames, offset);
      else data(address, pgn === ETP_DATA, time, frames, offset);
    },
    lost: () => lost + sessions.size,
    openSessions: () => sessions.size,
  };
}
