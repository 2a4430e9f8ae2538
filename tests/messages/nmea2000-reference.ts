import { readFileSync } from 'node:fs';
import { bytes, type TestFrame } from './bus-lines.ts';

/** Decoded fields of another program: plain numbers, or an object with the number in `value`. */
export type Fields = Readonly<Record<string, unknown>>;

/** A field under either of its names, as a number; undefined when it is not available. */
export function numberOf(fields: Fields, id: string, label: string): number | undefined {
  const found = fields[id] ?? fields[label];
  const value = typeof found === 'object' && found !== null && 'value' in found ? found.value : found;
  return typeof value === 'number' ? value : undefined;
}

/** Frames of a classic pcap file of SocketCAN packets (linktype 227, little-endian records, microseconds). */
export function capturedFrames(file: string): TestFrame[] {
  const raw = readFileSync(file);
  const frames: TestFrame[] = [];
  for (let at = 24; at + 16 <= raw.length;) {
    const captured = raw.readUInt32LE(at + 8);
    const packet = raw.subarray(at + 16, at + 16 + captured);
    const flags = packet.readUInt32BE(0);
    if ((flags & 0x60000000) === 0) {
      frames.push({
        time: raw.readUInt32LE(at) + raw.readUInt32LE(at + 4) / 1e6, id: flags & 0x1fffffff, isExtended: flags > 0x7fffffff,
        data: Uint8Array.from(packet.subarray(8, 8 + (packet[4] as number))),
      });
    }
    at += 16 + captured;
  }
  return frames;
}

/** Frames of text lines without dates: `<0x…> [8] …`, `can0 ID [8] …`, `(t) can0 ID#…` or `HH:MM:SS.mmm R ID …`; a millisecond apart where no time is given. */
export function screenFrames(text: string): TestFrame[] {
  return text.split(/\r?\n/).flatMap((line, n): TestFrame[] => {
    const log = /^\((\d+\.\d+)\)\s+\S+\s+([0-9A-F]{8})#([0-9A-F]*)/i.exec(line);
    if (log !== null) return [{ time: Number(log[1]), id: Number.parseInt(log[2] ?? '', 16), data: bytes(log[3] ?? '') }];
    const gateway = /^(\d\d):(\d\d):(\d\d\.\d+) R ([0-9A-F]{8})((?: [0-9A-F]{2})*)/i.exec(line);
    if (gateway !== null) return [{ time: Number(gateway[1]) * 3600 + Number(gateway[2]) * 60 + Number(gateway[3]), id: Number.parseInt(gateway[4] ?? '', 16), data: bytes(gateway[5] ?? '') }];
    const screen = /^\s*(?:<0x([0-9a-f]+)>|\S+\s+([0-9A-F]{8}))\s+\[(\d)\]\s*((?:[0-9a-f]{2}\s*)*)/i.exec(line);
    if (screen !== null) return [{ time: n / 1000, id: Number.parseInt(screen[1] ?? screen[2] ?? '', 16), data: bytes(screen[4] ?? '') }];
    return [];
  });
}
