import { describe, expect, test } from 'vitest';
import { InputError } from '../../../src/core/errors.ts';
import { pcap } from '../../../src/formats/pcap/pcap.ts';
import { expectAccounted, testFormatContract } from '../contract.ts';
import { record } from '../recording-sink.ts';
import { neighboursOf, pcapOf, samples } from '../samples.ts';

testFormatContract(pcap, [
  samples.pcap,
  { name: 'big-endian', records: 5, bytes: pcapOf({ isLittle: false, isNano: false }) },
  { name: 'nanoseconds', records: 5, bytes: pcapOf({ isLittle: true, isNano: true }) },
  { name: 'big-endian, nanoseconds', records: 5, bytes: pcapOf({ isLittle: false, isNano: true }) },
], neighboursOf('pcap'));

describe('pcap: SocketCAN frames', () => {
  test('either byte order and either resolution give the same frames', async () => {
    const recordings = await Promise.all([true, false].flatMap((isLittle) => [true, false].map((isNano) => record(pcap, pcapOf({ isLittle, isNano })))));
    for (const { frames } of recordings) {
      expect(frames.map(({ id, extended, data, bus }) => [bus, id, extended, data])).toEqual([
        ['can0', 0x0cfe4822, true, '1234567800FFFF03'], ['can0', 0x18eeff22, true, 'A000000000000080'], ['can0', 0x123, false, '112233'],
        ['can0', 0x0cfe4922, true, '001122'], ['can0', 0x1cfe4922, true, 'FFFFFFFFFFFFFFFF'],
      ]);
      expect(frames[0]?.time).toBeCloseTo(1_746_532_800.000123, 6);
      expect(frames[4]?.time).toBeCloseTo(1_746_532_800.070123, 6);
    }
    expect(recordings[0]?.ignored).toEqual({ 'CAN FD frame': 1, 'error frame': 1, 'remote frame': 1 });
  });

  test('a damaged record header costs that record, and the rest is found again', async () => {
    const bytes = pcapOf({ isLittle: true, isNano: false });
    bytes[24 + 32 + 4 + 3] = 0xff;
    const result = await record(pcap, bytes);
    expect(result.frames).toHaveLength(4);
    expect(result.rejected).toEqual([{ offset: 56, bytes: 32, reason: 'record header with a fraction of more than a second' }]);
    expectAccounted(result, bytes.length);
  });

  test('a capture of something else is refused with its link type', async () => {
    await expect(record(pcap, pcapOf({ isLittle: true, isNano: false, linkType: 1 }))).rejects.toThrow(InputError);
    await expect(record(pcap, pcapOf({ isLittle: true, isNano: false, linkType: 1 }))).rejects.toThrow(/link type 1, not CAN/);
  });
});
