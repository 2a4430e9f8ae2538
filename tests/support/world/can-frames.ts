/** Frames of one sender's message over the day: 8 data bytes each, unused bits all ones. */
export interface FrameTrack {
  readonly id: number;
  readonly time: Float64Array;
  readonly data: Uint8Array;
  /** Bytes per frame. */
  readonly length: number;
}

/** 29-bit identifier of a message to everyone (PDU2). */
export const identifier = (priority: number, pgn: number, source: number): number => ((priority << 26) | (pgn << 8) | source) >>> 0;

/** Writes an unsigned field of up to 32 bits into a frame; bit 0 = least significant bit of byte 0. */
export function putBits(data: Uint8Array, at: number, startBit: number, length: number, raw: number): void {
  let value = raw >= 0 ? raw : raw + 2 ** length;
  for (let bit = startBit; bit < startBit + length; ) {
    const byte = at + (bit >> 3);
    const shift = bit & 7;
    const width = Math.min(8 - shift, startBit + length - bit);
    const mask = (1 << width) - 1;
    data[byte] = ((data[byte] as number) & ~(mask << shift)) | ((value % (mask + 1)) << shift);
    value = Math.floor(value / (mask + 1));
    bit += width;
  }
}

const HEX = Uint8Array.from('0123456789ABCDEF', (letter) => letter.charCodeAt(0));

/** Growing ASCII text. */
export interface AsciiWriter {
  readonly line: (text: string) => void;
  /** `(seconds.micros) bus ID#DATA`, the log form of candump. */
  readonly frame: (epoch: number, bus: Uint8Array, id: number, data: Uint8Array, at: number, length: number) => void;
  readonly bytes: () => Uint8Array;
}

export function createAsciiWriter(): AsciiWriter {
  let buffer = new Uint8Array(1 << 20);
  let used = 0;
  const room = (more: number): void => {
    if (used + more <= buffer.length) return;
    const larger = new Uint8Array(Math.max(buffer.length * 2, used + more));
    larger.set(buffer.subarray(0, used));
    buffer = larger;
  };
  const digits = (value: number, count: number): void => {
    let rest = value;
    for (let k = count - 1; k >= 0; k--) {
      buffer[used + k] = 48 + (rest % 10);
      rest = Math.floor(rest / 10);
    }
    used += count;
  };
  return {
    line: (text) => {
      room(text.length + 1);
      for (let i = 0; i < text.length; i++) buffer[used++] = text.charCodeAt(i);
      buffer[used++] = 10;
    },
    frame: (epoch, bus, id, data, at, length) => {
      room(64 + bus.length);
      const micros = Math.round((epoch - Math.floor(epoch)) * 1e6);
      buffer[used++] = 40;
      digits(Math.floor(epoch) + (micros === 1_000_000 ? 1 : 0), 10);
      buffer[used++] = 46;
      digits(micros === 1_000_000 ? 0 : micros, 6);
      buffer[used++] = 41;
      buffer[used++] = 32;
      buffer.set(bus, used);
      used += bus.length;
      buffer[used++] = 32;
      for (let shift = 28; shift >= 0; shift -= 4) buffer[used++] = HEX[(id >>> shift) & 15] as number;
      buffer[used++] = 35;
      for (let i = 0; i < length; i++) {
        const byte = data[at + i] as number;
        buffer[used++] = HEX[byte >> 4] as number;
        buffer[used++] = HEX[byte & 15] as number;
      }
      buffer[used++] = 10;
    },
    bytes: () => buffer.subarray(0, used),
  };
}
