/**
 * Joins the frames of NMEA 2000 fast packets, one assembler per bus, sender, destination and parameter group.
 * Byte 1 of each frame: bits 7–5 message counter, bits 4–0 frame counter; frame 0 carries the total length (at most 223)
 * and 6 data bytes, the others 7 (messages.md 9.1).
 */
export interface FastPacketAssembler {
  /** Takes one frame padded to 8 bytes with 0xFF. True when it completed a message: then `data` and `length` hold it until the next call. */
  readonly push: (time: number, frames: Uint8Array, offset: number) => boolean;
  readonly data: Uint8Array;
  readonly length: () => number;
}

export const LONGEST_FAST_PACKET = 223;
const FIRST_FRAME_BYTES = 6;
const FRAME_BYTES = 7;
/** s; frames of one message that are further apart belong to different ones. */
const LONGEST_PAUSE = 0.75;

interface Session {
  /** One bit per frame received. */
  received: number;
  /** Total length; −1 until frame 0 has come. */
  length: number;
  time: number;
  readonly bytes: Uint8Array;
}

/** `onLost` hears of every message given up: frames missing, too late or impossible. */
export function createFastPacketAssembler(onLost: () => void = () => {}): FastPacketAssembler {
  const sessions: (Session | undefined)[] = Array.from({ length: 8 }, () => undefined);
  const data = new Uint8Array(LONGEST_FAST_PACKET + FRAME_BYTES);
  let length = 0;

  const restart = (session: Session): void => {
    if (session.received !== 0) onLost();
    session.received = 0;
    session.length = -1;
  };

  return {
    data,
    length: () => length,
    push: (time, frames, offset) => {
      const counters = frames[offset] as number;
      const frame = counters & 31;
      const session = (sessions[counters >> 5] ??= { received: 0, length: -1, time, bytes: new Uint8Array(FIRST_FRAME_BYTES + 31 * FRAME_BYTES) });
      const bit = 1 << frame;
      /* A frame seen twice starts a new message, and so does one after a pause; a clock set back counts as a pause. */
      const pause = time - session.time;
      if ((session.received & bit) !== 0 || pause > LONGEST_PAUSE || pause < -LONGEST_PAUSE) restart(session);
      session.time = time;
      if (frame === 0) {
        const total = frames[offset + 1] as number;
        if (total > LONGEST_FAST_PACKET) {
          restart(session);
          onLost();
          return false;
        }
        session.length = total;
        for (let i = 0; i < FIRST_FRAME_BYTES; i++) session.bytes[i] = frames[offset + 2 + i] as number;
      } else {
        const start = FIRST_FRAME_BYTES + (frame - 1) * FRAME_BYTES;
        for (let i = 0; i < FRAME_BYTES; i++) session.bytes[start + i] = frames[offset + 1 + i] as number;
      }
      session.received |= bit;
      if (session.length < 0) return false;
      const last = Math.floor(session.length / FRAME_BYTES);
      const wanted = last === 31 ? -1 : (1 << (last + 1)) - 1;
      const isStale = (session.received & ~wanted) !== 0 || (frame === 0 && last > 0 && session.received === wanted);
      if (isStale) {
        /* Frames beyond the end, or all there before the first: left from an older message that lost its first frame. */
        onLost();
        session.received = frame === 0 ? 1 : 0;
        if (frame !== 0) session.length = -1;
        return false;
      }
      if (session.received !== wanted) return false;
      length = session.length;
      data.set(session.bytes.subarray(0, length));
      session.received = 0;
      session.length = -1;
      return true;
    },
  };
}
