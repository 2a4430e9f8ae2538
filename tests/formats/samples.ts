import type { FormatSample } from './contract.ts';
import { utf8 } from './recording-sink.ts';
import { taskSample } from './taskdata/task-sample.ts';

/** Small logs of every kind: each format must read its own and refuse the others'. */
const candumpSample: FormatSample = {
  name: 'candump log',
  records: 8,
  bytes: utf8([
    '# recorded for a test',
    '(1746532800.000123) can0 0CFE4822#1234567800FFFF03',
    '(1746532800.010000)   can1 18EEFF22#A000000000000080',
    '(1746532800.020000) can0 123#11.22.33',
    '(1746532800.030000) can0 20000004#0004000000000000',
    '(1746532800.040000) can0 0CFE4922#R8',
    '(1746532800.050000) can0 0CFE4922##1AABBCCDDEEFF00112233',
    '(1746532800.060000) can0 0CFE4922#0011223344556677_C',
    '(1746532800.070000) can0 0CFE4922#0011223344556677 R',
    "DROPCOUNT: dropped 3 CAN frames on 'can0' socket (total drops 7)",
    '(1746532800.080000) can0 0CFE4922#00112233445566 T\r',
    '(1746532800.090123456) can0 0CFE4922#',
    '(1746532800.100000) can0 0CFE4922#001122334455667',
    '(1746532800.110000) can0 1CFE4922#FFFFFFFFFFFFFFFF',
    '',
  ].join('\n')),
};

const spacedSample: FormatSample = {
  name: 'candump screen form',
  records: 6,
  bytes: utf8([
    '# recorded for a test',
    ' (1746532800.000123)  can0  0CFE4822   [8]  12 34 56 78 00 FF FF 03',
    ' (1746532800.010000)  can1  18EEFF22   [8]  A0 00 00 00 00 00 00 80',
    ' (1746532800.020000)  can0       123   [3]  11 22 33',
    ' (1746532800.030000)  can0       123   [0]  remote request',
    ' (1746532800.040000)  can0  20000004   [8]  00 04 00 00 00 00 00 00   ERRORFRAME',
    ' (1746532800.050000)  can0  0CFE4922  [12]  00 11 22 33 44 55 66 77 88 99 AA BB',
    " (1746532800.060000)  can0  0CFE4922   [8]  00 11 22 33 44 55 66 77   '.\"3DUfw'",
    ' (1746532800.070000)  can0  0CFE4922   [8]  77`66`55`44`33`22`11`00\r',
    ' (1746532800.080000)  can0  0CFE4922   [8]  00 11 22 33 44 55 66',
    '<0x18eeff01> [8] 05 a0 be 1c 00 a0 a0 c0 ',
    '',
  ].join('\n')),
};

const csvSample: FormatSample = {
  name: 'csv',
  records: 3,
  bytes: utf8('time,wheel.speed [km/h],fan.1.speed\n2026-05-06T12:00:00Z,8.1,3500\n2026-05-06T12:00:01Z,8.2,\n2026-05-06T12:00:02Z,8.25,3510\n'),
};

const plainN2kSample: FormatSample = {
  name: 'NMEA 2000 text',
  records: 11,
  bytes: utf8([
    '# format=FAST',
    '2026-05-06T12:00:00.000Z,2,127250,3,255,8,00,10,7a,ff,7f,ff,7f,fd',
    '2026-05-06T12:00:00.100Z,2,127250,3,255,8,01,11,7a,ff,7f,ff,7f,fd',
    '2026-05-06-12:00:00.200,3,129029,0,255,8,00,2f,e7,95,3d,00,73,d6',
    '2026-05-06Z12:00:00.300,3,126208,19,255,12,01,01,ff,01,ff,01,ff,ff,00,01,02,03',
    '2026-05-06-12:00:00,6,59904,40,115,3,00,ee,00',
    '2026-05-06-12:00:00.400,0,262386,0,0,3,01,0e,00',
    'A120000.500 23FF7 1F513 012F3070002F30709F',
    '12:00:00.600 R 09F8017F 50 C3 B8 13 47 D8 2B C6',
    '$PCDIN,01F119,00000000,0F,2AAF00D1067414FF*59',
    '$MXPGN,01F801,2801,C1308AC40C5DE343*19',
    '!PDGY,127250,2,3,255,481.83,2S20AAAAAAE=',
    '$PDGY,000000,4,,5,482,1,0',
    '$GPZDA,120000.00,06,05,2026,00,00*62',
    '2026-05-06T12:00:01.000Z,2,127250,3,255,8,00,10,7a,ff',
    '2026-05-06T25:00:01.000Z,2,127250,3,255,8,00,10,7a,ff,7f,ff,7f,fd',
    '2026-05-06T12:00:02.000Z,2,127250,3,255,8,00,10,7a,ff,7f,ff,7f,fd\r',
    '',
  ].join('\n')),
};

/** One captured frame. `flags`: CAN FD flags; `pad`: size of the packet. */
interface CapturedFrame {
  readonly id: number;
  readonly data: readonly number[];
  readonly flags?: number;
  readonly pad?: number;
}

const CAPTURED: readonly CapturedFrame[] = [
  { id: 0x8cfe4822, data: [0x12, 0x34, 0x56, 0x78, 0, 0xff, 0xff, 3] },
  { id: 0x98eeff22, data: [0xa0, 0, 0, 0, 0, 0, 0, 0x80] },
  { id: 0x123, data: [0x11, 0x22, 0x33] },
  { id: 0xc0000123, data: [] },
  { id: 0x20000004, data: [0, 4, 0, 0, 0, 0, 0, 0] },
  { id: 0x8cfe4922, data: [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12], flags: 5, pad: 72 },
  { id: 0x8cfe4922, data: [0, 0x11, 0x22], flags: 0x3c, pad: 11 },
  { id: 0x9cfe4922, data: [255, 255, 255, 255, 255, 255, 255, 255] },
];
const CAPTURE_START = 1_746_532_800;

function packetOf({ id, data, flags = 0, pad = 16 }: CapturedFrame): Buffer {
  const packet = Buffer.alloc(pad);
  packet.writeUInt32BE(id, 0);
  packet[4] = data.length;
  packet[5] = flags;
  packet.set(data, 8);
  return packet;
}

/** Writes numbers in one byte order. */
const order = (isLittle: boolean) => (...values: readonly number[]): Buffer => {
  const bytes = Buffer.alloc(values.length * 4);
  values.forEach((value, i) => (isLittle ? bytes.writeUInt32LE(value, i * 4) : bytes.writeUInt32BE(value, i * 4)));
  return bytes;
};

export function pcapOf(options: { readonly isLittle: boolean; readonly isNano: boolean; readonly linkType?: number; readonly frames?: readonly CapturedFrame[] }): Uint8Array {
  const u32 = order(options.isLittle);
  const version = options.isLittle ? 0x00040002 : 0x00020004;
  const parts = [u32(options.isNano ? 0xa1b23c4d : 0xa1b2c3d4, version, 0, 0, 65_535, options.linkType ?? 227)];
  for (const [i, frame] of (options.frames ?? CAPTURED).entries()) {
    const packet = packetOf(frame);
    parts.push(u32(CAPTURE_START, (i * 10_000 + 123) * (options.isNano ? 1000 : 1), packet.length, packet.length), packet);
  }
  return new Uint8Array(Buffer.concat(parts));
}

/** Two sections, the second in the other byte order; each with a CAN interface at microseconds, one at 2⁻²⁰ s with an offset, and one of Ethernet. */
export function pcapngOf(): Uint8Array {
  const section = (isLittle: boolean): Buffer => {
    const u32 = order(isLittle);
    const u16 = (...values: readonly number[]): Buffer => Buffer.concat(values.map((value) => (isLittle ? u32(value).subarray(0, 2) : u32(value).subarray(2))));
    const padded = (bytes: Buffer): Buffer => Buffer.concat([bytes, Buffer.alloc((4 - (bytes.length % 4)) % 4)]);
    const block = (type: number, ...body: readonly Buffer[]): Buffer => {
      const inner = padded(Buffer.concat(body));
      return Buffer.concat([u32(type, inner.length + 12), inner, u32(inner.length + 12)]);
    };
    const option = (code: number, value: Buffer): Buffer => Buffer.concat([u16(code, value.length), padded(value)]);
    const description = (linkType: number, ...options: readonly Buffer[]): Buffer => block(1, u16(linkType, 0), u32(0), ...options, u16(0, 0));
    const offset = isLittle ? u32(1_000_000_000, 0) : u32(0, 1_000_000_000);
    const packet = (interfaceNumber: number, ticks: number, frame: CapturedFrame): Buffer => {
      const bytes = packetOf(frame);
      return block(6, u32(interfaceNumber, Math.floor(ticks / 2 ** 32), ticks % 2 ** 32, bytes.length, bytes.length), bytes);
    };
    const frames = CAPTURED.flatMap((frame, i) => [
      packet(0, (CAPTURE_START + i * 0.01) * 1e6 + 123, frame),
      packet(1, (CAPTURE_START - 1_000_000_000 + i * 0.01) * 2 ** 20, frame),
    ]);
    return Buffer.concat([
      block(0x0a0d0d0a, u32(0x1a2b3c4d), u16(1, 0), u32(0xffffffff, 0xffffffff)),
      description(227, option(2, Buffer.from('can0'))),
      description(227, option(2, Buffer.from('can1')), option(9, Buffer.from([0x80 + 20])), option(14, offset)),
      description(1),
      ...frames,
      packet(2, CAPTURE_START * 1e6, { id: 0x123, data: [1] }),
      packet(7, CAPTURE_START * 1e6, { id: 0x123, data: [1] }),
      block(3, u32(16), packetOf({ id: 0x123, data: [0x55] })),
      block(5, u32(0, 0, 0)),
    ]);
  };
  return new Uint8Array(Buffer.concat([section(true), section(false)]));
}

const pcapSample: FormatSample = { name: 'pcap capture', records: 5, bytes: pcapOf({ isLittle: true, isNano: false }) };
const pcapngSample: FormatSample = { name: 'pcapng capture', records: 22, bytes: pcapngOf() };

export const samples = { candump: candumpSample, spaced: spacedSample, csv: csvSample, plainN2k: plainN2kSample, pcap: pcapSample, pcapng: pcapngSample, taskdata: taskSample };

export function neighboursOf(name: keyof typeof samples): readonly FormatSample[] {
  return Object.entries(samples).filter(([key]) => key !== name).map(([, sample]) => sample);
}
