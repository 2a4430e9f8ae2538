import type { FormatSample } from './contract.ts';
import { utf8 } from './recording-sink.ts';

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
  records: 3,
  bytes: utf8([
    ' (1746532800.000123)  can0  0CFE4822   [8]  12 34 56 78 00 FF FF 03',
    ' (1746532800.010000)  can0  18EEFF22   [8]  A0 00 00 00 00 00 00 80',
    ' (1746532800.020000)  can0       123   [3]  11 22 33',
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
  records: 2,
  bytes: utf8('2026-05-06T12:00:00.000Z,2,127250,3,255,8,00,10,7a,ff,7f,ff,7f,fd\n2026-05-06T12:00:00.100Z,2,127250,3,255,8,01,11,7a,ff,7f,ff,7f,fd\n'),
};

export const samples = { candump: candumpSample, spaced: spacedSample, csv: csvSample, plainN2k: plainN2kSample };

export function neighboursOf(name: keyof typeof samples): readonly FormatSample[] {
  return Object.entries(samples).filter(([key]) => key !== name).map(([, sample]) => sample);
}
