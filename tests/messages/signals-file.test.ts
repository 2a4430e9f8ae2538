import { describe, expect, test } from 'vitest';
import { SetupError } from '../../src/core/errors.ts';
import { parseSignals } from '../../src/messages/signals-file.ts';
import { channel, decode, decodeLines, frameOf, valuesOf } from './bus-lines.ts';

const file = (...signals: readonly object[]): string => JSON.stringify({ signals });
const mass = { channel: 'tank.1.mass', unit: 'kg', pgn: 65330, startBit: 8, length: 24, factor: 0.1, offset: -100000 };

/** What the error says, message and advice in one. */
function complaint(text: string): string {
  try {
    parseSignals(text, 'signals.json');
  } catch (error) {
    if (error instanceof SetupError) return `${error.message.replace(/\.$/, '')} → ${error.whatToDo}`;
    throw error;
  }
  return 'accepted';
}

describe('signals.json (contract 5)', () => {
  test('the example of the contract: selector, sender, scale and offset', () => {
    const signals = parseSignals(file({ ...mass, byteOrder: 'little', signed: false, selector: { startBit: 0, length: 8, equals: 1 }, source: 39 }), 'signals.json');
    /* raw 1 050 000 = 0x100590 → 105 000 − 100 000 kg */
    const log = decodeLines(['18FF3227#0190051000000000', '18FF3227#0290051000000000', '18FF3228#0190051000000000', '18FF3227#01FFFFFF00000000'], signals);
    expect(valuesOf(log, 'tank.1.mass')).toEqual([5000, Number.NaN]);
    expect([...channel(log, 'tank.1.mass').time]).toEqual([0, 3]);
    expect(log.channels).toHaveLength(1);
  });

  test('units become SI; latitude stays in degrees', () => {
    const signals = parseSignals(file(
      { channel: 'wheel.speed', unit: 'km/h', id: 0x18ff0001, startBit: 0, length: 16, factor: 0.01 },
      { channel: 'fan.1.speed', unit: 'rpm', id: 0x18ff0001, startBit: 16, length: 16 },
      { channel: 'oil.temperature', unit: '°F', id: 0x18ff0001, startBit: 32, length: 8 },
      { channel: 'gnss.lat', unit: 'deg', id: 0x101, startBit: 0, length: 32, signed: true, factor: 1e-7 },
      { channel: 'heading', unit: 'deg', id: 0x101, startBit: 32, length: 16, factor: 0.1 },
    ), 'signals.json');
    const log = decodeLines(['18FF0001#2003A00F20000000', '101#802D2BE108070000'], signals);
    expect(valuesOf(log, 'wheel.speed')[0]).toBeCloseTo(8 / 3.6, 12);
    expect(valuesOf(log, 'fan.1.speed')).toEqual([4000]);
    expect(valuesOf(log, 'oil.temperature')[0]).toBeCloseTo(273.15, 9);
    expect(valuesOf(log, 'gnss.lat')[0]).toBeCloseTo(-51.7264, 9);
    expect(valuesOf(log, 'heading')[0]).toBeCloseTo(Math.PI, 9);
  });

  test('big-endian: from the most significant bit, or from the lowest bit of the first whole byte', () => {
    for (const startBit of [15, 8]) {
      const signals = parseSignals(file({ channel: 'fan.1.speed', unit: 'rpm', id: 0x101, startBit, length: 16, byteOrder: 'big' }), 'signals.json');
      expect(valuesOf(decodeLines(['101#000FA0'], signals), 'fan.1.speed')).toEqual([4000]);
    }
  });

  test('all ones: not available unless told otherwise; a flag of one bit is on', () => {
    const on = (allOnes: object): readonly number[] => decodeLines(['101#FF'], parseSignals(file({ channel: 'gnss.sats', id: 0x101, startBit: 0, length: 4, ...allOnes }), 's')).channels.flatMap((c) => [...c.value]);
    expect(on({})).toEqual([]);
    expect(on({ allOnes: 'valid' })).toEqual([15]);
    expect(on({ length: 1 })).toEqual([1]);
  });

  test('a flag is 0 or 1: the error code 10 of two bits is no state', () => {
    const signals = parseSignals(file({ channel: 'section.1.on', id: 0x101, startBit: 0, length: 2 }), 's');
    expect(valuesOf(decodeLines(['101#00', '101#01', '101#02', '101#03'], signals), 'section.1.on')).toEqual([0, 1, Number.NaN, Number.NaN]);
  });

  test('an identifier of 11 bits and one of 29 with the same number are not the same', () => {
    const signals = parseSignals(file({ channel: 'fan.1.speed', unit: 'rpm', id: 0x101, startBit: 0, length: 16 }), 's');
    expect(decode([frameOf('00000101#A00F'), frameOf('101#D00F')], signals).channels.flatMap((c) => [...c.value])).toEqual([4048]);
  });

  test('a sender named by its NAME is followed when its address changes, and nobody else is', () => {
    const signals = parseSignals(file({ channel: 'fan.1.speed', unit: 'rpm', pgn: 65330, startBit: 0, length: 16, source: 'A0088000AFE00002' }), 's');
    const log = decodeLines([
      '18FF3280#0100', '18EEFF80#0200E0AF008008A0', '18FF3280#0200', '18FF3281#0900', '18EEFF90#0200E0AF008008A0', '18FF3290#0300', '18FF3280#0800',
    ], signals);
    expect(log.channels).toHaveLength(1);
    expect(valuesOf(log, 'fan.1.speed')).toEqual([2, 3]);
    expect(channel(log, 'fan.1.speed').source).toMatchObject({ name: 'a0088000afe00002', sourceAddress: 0x90 });
  });

  test('the user\'s own reading of a message comes before the standard one', () => {
    const signals = parseSignals(file({ channel: 'wheel.speed', unit: 'm/s', pgn: 65096, startBit: 0, length: 16, factor: 0.002 }), 's');
    const speeds = decodeLines(['0CFE4846#A00F6EBC0E00C855'], signals).channels.filter((c) => c.id === 'wheel.speed');
    expect(speeds.map((c) => c.value[0])).toEqual([8, 4]);
  });

  test('process data may be read by number too, where no device description was logged', () => {
    /* element 2, DDI 75: the 28 bits after the command */
    const signals = parseSignals(file({ channel: 'tank.1.mass', unit: 'g', pgn: 51968, startBit: 32, length: 32, signed: true, selector: { startBit: 4, length: 28, equals: 75 * 4096 + 2 } }), 's');
    const log = decodeLines(['18CBF780#23004B0000AF4B00', '18CBF780#33004B0001000000'], signals);
    expect(valuesOf(log, 'tank.1.mass')).toEqual([4960]);
    expect(log.channels.map((found) => found.id)).toEqual(['process.128.2.75', 'process.128.3.75', 'tank.1.mass']);
  });

  test('a signal beyond the eighth byte is read from the whole message', () => {
    const signals = parseSignals(file({ channel: 'tank.2.mass', unit: 'kg', pgn: 130830, startBit: 72, length: 16 }), 's');
    const log = decode([frameOf('19FF0E23#400B010203040506', 1), frameOf('19FF0E23#410708093930FFFF', 1.01)], signals);
    /* payload 01 02 … 08 09 39 30 …: bytes 9 and 10 are 39 30 */
    expect(valuesOf(log, 'tank.2.mass')).toEqual([0x3039]);
  });

  test.each([
    ['not JSON', '{"signals":[}', /signals\.json is not valid JSON: .*→ Check commas/],
    ['no list', '{}', /has no "signals"/],
    ['unknown key', file({ ...mass, startbit: 3 }), /signals\[0\] has the unknown key "startbit" → Did you mean "startBit"\?/],
    ['unknown file key', JSON.stringify({ signal: [] }), /the file has the unknown key "signal".*→ Did you mean "signals"\?/],
    ['typo in a channel', file({ ...mass, channel: 'tank.1.mas' }), /signals\[0\]\.channel is "tank\.1\.mas", which is no channel → Did you mean "tank\.1\.mass"\?/],
    ['underscores', file({ ...mass, channel: 'Tank_2_Mass' }), /Did you mean "tank\.2\.mass"\?/],
    ['no such channel', file({ ...mass, channel: 'hydraulics' }), /Known are wheel\.speed, /],
    ['unknown unit', file({ ...mass, unit: 'kgs' }), /signals\[0\]\.unit is "kgs", a unit that is not known → For tank\.1\.mass write one of kg, g, t, lb, lbs\./],
    ['unit of something else', file({ ...mass, unit: 'kPa' }), /is "kPa", which does not measure what tank\.1\.mass is/],
    ['no unit', file({ ...mass, unit: undefined }), /has no "unit" for tank\.1\.mass/],
    ['neither', file({ ...mass, pgn: undefined }), /has neither "pgn" nor "id"/],
    ['both', file({ ...mass, id: 5 }), /has both "pgn" and "id"/],
    ['group out of range', file({ ...mass, pgn: 200000 }), /signals\[0\]\.pgn is 200000 → It must be a whole number from 0 to 131071/],
    ['destination in the group', file({ ...mass, pgn: 61201 }), /low byte of an addressed message is its destination → Write 61184\./],
    ['identifier out of range', file({ ...mass, pgn: undefined, id: 0x98ff3227 }), /It must be a whole number from 0 to 536870911/],
    ['too long', file({ ...mass, length: 65 }), /signals\[0\]\.length is 65 → It must be a whole number from 1 to 64/],
    ['outside the frame', file({ ...mass, pgn: undefined, id: 0x18ff3227, startBit: 48 }), /signals\[0\] reaches into byte 9, but a frame has 8/],
    ['outside, big-endian', file({ ...mass, pgn: undefined, id: 0x18ff3227, startBit: 63, byteOrder: 'big' }), /reaches into byte 10/],
    ['not a number', file({ ...mass, factor: '0.1' }), /signals\[0\]\.factor must be a number, not the text "0\.1"/],
    ['factor 0', file({ ...mass, factor: 0 }), /factor is 0: every value would be the same/],
    ['byte order', file({ ...mass, byteOrder: 'motorola' }), /is "motorola" → Write "little" or "big"\./],
    ['signed', file({ ...mass, signed: 1 }), /must be true or false/],
    ['allOnes', file({ ...mass, allOnes: true }), /allOnes must be a text/],
    ['selector key', file({ ...mass, selector: { startBit: 0, length: 8, equal: 1 } }), /signals\[0\]\.selector has the unknown key "equal".*has no "equals"/],
    ['selector never true', file({ ...mass, selector: { startBit: 0, length: 2, equals: 4 } }), /equals is 4 → It must be a whole number from 0 to 3/],
    ['sender', file({ ...mass, source: 'seeder' }), /Write the address \(0 to 253\), or the 16 hex digits/],
    ['shared bits', file(mass, { ...mass, channel: 'tank.2.mass', startBit: 24 }), /signals\[1\] \(tank\.2\.mass\) shares bits with signals\[0\] \(tank\.1\.mass\)/],
    ['the same twice', file(mass, mass), /shares bits with signals\[0\]/],
    ['several', file({ ...mass, length: 0 }, { ...mass, unit: 'x' }), /length is 0 \(and 1 more: signals\[1\]\.unit is "x"/],
  ])('%s', (_, text, words) => expect(complaint(text)).toMatch(words));

  test('signals told apart by a selector may share bits', () => {
    const one = (equals: number): object => ({ ...mass, channel: `tank.${equals}.mass`, selector: { startBit: 0, length: 8, equals } });
    expect(parseSignals(file(one(1), one(2)), 's')).toHaveLength(2);
  });
});
