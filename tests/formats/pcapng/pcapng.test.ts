import { describe, expect, test } from 'vitest';
import { pcapng } from '../../../src/formats/pcapng/pcapng.ts';
import { expectAccounted, testFormatContract } from '../contract.ts';
import { record } from '../recording-sink.ts';
import { neighboursOf, pcapngOf, samples } from '../samples.ts';

testFormatContract(pcapng, [samples.pcapng], neighboursOf('pcapng'));

describe('pcapng: sections, interfaces and time stamps', () => {
  test('each interface is a bus; resolution and offset of its own give the same times; both byte orders', async () => {
    const { frames, ignored, rejected } = await record(pcapng, samples.pcapng.bytes);
    expect(frames).toHaveLength(22);
    for (const section of [frames.slice(0, 11), frames.slice(11)]) {
      expect(section.map(({ bus }) => bus)).toEqual(['can0', 'can1', 'can0', 'can1', 'can0', 'can1', 'can0', 'can1', 'can0', 'can1', 'can0']);
      for (const [i, frame] of section.slice(0, 10).entries()) {
        const number = [0, 1, 2, 6, 7][Math.floor(i / 2)] ?? NaN;
        expect(frame.time).toBeCloseTo(1_746_532_800 + number * 0.01 + (i % 2 === 0 ? 0.000123 : 0), 5);
      }
      expect(section[10]).toMatchObject({ time: Number.NaN, id: 0x123, data: '55' });
    }
    expect(ignored).toEqual({ 'CAN FD frame': 4, 'block without frames': 0, 'error frame': 4, 'packet of link type 1, not CAN': 2, 'remote frame': 4 });
    expect(rejected.map(({ reason }) => reason)).toEqual(Array(2).fill('packet of an interface that was not described'));
  });

  test.each([
    ['zero length (endless in careless readers)', 0, 'block of 0 bytes'],
    ['less than a block', 8, 'block of 8 bytes'],
    ['no multiple of four', 45, 'no multiple of 4'],
    ['beyond all bounds', 0x40000000, 'longest allowed'],
    ['not the same at both ends', 64, 'two lengths differ'],
  ])('length of a block: %s', async (_, length, reason) => {
    const bytes = pcapngOf();
    const view = new DataView(bytes.buffer);
    /* The first packet block behind the section header and three interface blocks. */
    let at = 0;
    while (view.getUint32(at, true) !== 6) at += view.getUint32(at + 4, true);
    view.setUint32(at + 4, length, true);
    const result = await record(pcapng, bytes);
    expect(result.frames).toHaveLength(21);
    expect(result.rejected[0]).toMatchObject({ offset: at, bytes: 48 });
    expect(result.rejected[0]?.reason).toContain(reason);
    expectAccounted(result, bytes.length);
  });
});
