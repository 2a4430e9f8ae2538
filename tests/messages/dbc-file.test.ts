import { describe, expect, test } from 'vitest';
import { SetupError } from '../../src/core/errors.ts';
import { looksLikeDbc, parseDbc } from '../../src/messages/dbc-file.ts';
import { parseSignals } from '../../src/messages/signals-file.ts';
import { decode, decodeLines, frameOf, valuesOf } from './bus-lines.ts';

/* 2566851070 = 0x98FF09FE: bit 31 and the null address, so a group from any sender. 2566854695 = 0x98FF1827. */
const TEXT = `VERSION ""

NS_ :
	CM_

BS_:

BU_: Cart Tractor

BO_ 2566851070 Weights: 8 Cart
 SG_ Index M : 0|8@1+ (1,0) [0|0] "" Tractor
 SG_ Front m1 : 8|24@1+ (0.1,-100000) [0|0] "kg" Tractor
 SG_ Rear m2 : 8|24@1+ (0.1,-100000) [0|0] "kg" Tractor
 SG_ Spare m3 : 8|8@1+ (1,0) [0|0] "" Tractor

BO_ 257 Fans: 8 Cart
 SG_ fan_1_speed : 7|16@0+ (1,0) [0|6000] "rpm" Tractor
 SG_ Oil : 23|16@0- (0.1,0) [-40|150] "degC" Tractor
 SG_ Lid : 39|1@0+ (1,0) [0|1] "" Tractor
 SG_ tank_1_pressure : 40|8@1+ (1,0) [0|0] "furlong" Tractor

BO_ 2566854695 Exact: 8 Cart
 SG_ meter_1_speed : 0|16@1+ (0.125,0) [0|8000] "rpm" Tractor

CM_ SG_ 2566851070 Front "tank.1.mass";
CM_ SG_ 2566851070 Rear "Weight of the rear tank";
CM_ SG_ 257 Oil "oil.temperature";
BA_DEF_ SG_ "Channel" STRING ;
BA_ "Channel" SG_ 2566851070 Rear "tank.2.mass";
`;

describe('DBC files', () => {
  const file = parseDbc(TEXT, 'cart.dbc');

  test('signals become channels by comment, by attribute and by name', () => {
    expect(file.signals.map((signal) => signal.channel)).toEqual(['tank.1.mass', 'tank.2.mass', 'fan.1.speed', 'oil.temperature', 'meter.1.speed']);
    expect(file.all).toHaveLength(9);
  });

  test('the rest is kept with the reason', () => {
    expect(file.all.filter((signal) => signal.unused !== undefined).map(({ name, unused }) => [name, unused])).toEqual([
      ['Index', 'no channel of that name'], ['Spare', 'no channel of that name'], ['Lid', 'no channel of that name'],
      ['tank_1_pressure', 'unit "furlong" does not fit tank.1.pressure'],
    ]);
  });

  test('multiplexed: the selector decides, from any sender', () => {
    const log = decodeLines(['18FF0927#01 90 05 10 00000000'.replaceAll(' ', ''), '18FF0927#0250C30F00000000', '18FF0927#0300000000000000', '18FF0933#0150C30F00000000'], file.signals);
    expect(log.channels.map((channel) => [channel.id, channel.source.sourceAddress, ...channel.value])).toEqual([
      ['tank.1.mass', 0x27, 5000], ['tank.1.mass', 0x33, 3304], ['tank.2.mass', 0x27, 3304],
    ]);
  });

  test('Motorola order, signs, ranges and an 11-bit identifier', () => {
    const log = decode([frameOf('101#0FA0FF9C00000000', 0), frameOf('101#1771012C00000000', 1)], file.signals);
    expect(valuesOf(log, 'fan.1.speed')).toEqual([4000, Number.NaN]);
    expect(valuesOf(log, 'oil.temperature')).toEqual([expect.closeTo(263.15, 9), expect.closeTo(303.15, 9)]);
  });

  test('an exact 29-bit identifier is only that sender; J1939 frame format makes it a group', () => {
    const frames = [frameOf('18FF1827#4000', 0), frameOf('18FF1828#8000', 1)];
    expect(decode(frames, file.signals).channels.map((channel) => [...channel.value])).toEqual([[8]]);
    const asGroup = parseDbc(`${TEXT}BA_ "VFrameFormat" BO_ 2566854695 3;\n`, 'cart.dbc');
    expect(decode(frames, asGroup.signals).channels.map((channel) => [...channel.value])).toEqual([[8], [16]]);
    const network = parseDbc(`${TEXT}BA_ "ProtocolType" "J1939";\n`, 'cart.dbc');
    expect(network.signals.at(-1)).toMatchObject({ pgn: 0xff18 });
  });

  test('it is read where signals.json is asked for', () => {
    expect(looksLikeDbc(TEXT)).toBe(true);
    expect(looksLikeDbc('{"signals":[]}')).toBe(false);
    expect(parseSignals(TEXT, 'cart.dbc')).toEqual(file.signals);
  });

  test.each([
    ['a line cut short', TEXT.replace('[0|6000] "rpm" Tractor', '[0|60'), /cart\.dbc line 17: this signal is not understood\. → It should read like SG_/],
    ['no message', 'VERSION ""\nBU_: Cart\n', /is a DBC file without a message/],
    ['no channel', 'VERSION ""\nBO_ 257 Fans: 8 Cart\n SG_ Lid : 39|1@0+ (1,0) [0|1] "" Tractor\n', /cart\.dbc names no channel/],
  ])('%s', (_, text, words) => {
    let said = 'accepted';
    try {
      parseSignals(text, 'cart.dbc');
    } catch (error) {
      said = error instanceof SetupError ? `${error.message} → ${error.whatToDo}` : String(error);
    }
    expect(said).toMatch(words);
  });
});
