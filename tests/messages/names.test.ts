import { describe, expect, test } from 'vitest';
import { createNames, parseName } from '../../src/messages/names.ts';
import { bytes, decodeLines } from './bus-lines.ts';

const CART = '0200E0AF008008A0';
const OTHER = '1500E0AF008600A0';

describe('NAME (SAE J1939-81, ISO 11783-5)', () => {
  test('AgIsoStack++ 18EEFF80#0200E0AF008008A0', () => {
    expect(parseName(bytes(CART), 0)).toEqual({
      hex: 'a0088000afe00002', identityNumber: 2, manufacturerCode: 1407, ecuInstance: 0, functionInstance: 0, function: 128, deviceClass: 4, deviceClassInstance: 0,
      industryGroup: 2, isArbitraryAddressCapable: true,
    });
  });

  test('canboat j1939-pgn-test: an engine controller in the marine group', () => {
    /* printed there: unique number 1962638, class Propulsion, marine, not arbitrary */
    expect(parseName(bytes('8EF2DDE800966440'), 0)).toMatchObject({ identityNumber: 1_962_638, function: 150, deviceClass: 50, industryGroup: 4, isArbitraryAddressCapable: false });
  });
});

describe('who holds an address', () => {
  const cart = parseName(bytes(CART), 0);
  const other = parseName(bytes(OTHER), 0);

  test('the first claim names the one who was sending before', () => {
    const names = createNames();
    const before = names.sender(0, 0x80);
    expect(names.claim(0, 0x80, cart)).toEqual([0x80]);
    expect(names.sender(0, 0x80)).toBe(before);
    expect(before.name?.hex).toBe(cart.hex);
    expect(names.claim(0, 0x80, cart)).toEqual([]);
  });

  test('a device that moves stays itself; whoever sends from its old address is another', () => {
    const names = createNames();
    names.claim(0, 0x80, cart);
    const device = names.sender(0, 0x80);
    expect(names.claim(0, 0x90, cart)).toEqual([0x80, 0x90]);
    expect(names.sender(0, 0x90)).toBe(device);
    expect(names.sender(0, 0x80)).not.toBe(device);
    expect(device.address).toBe(0x90);
  });

  test('another NAME on the address is another device, and the first one comes back as itself', () => {
    const names = createNames();
    names.claim(0, 0x80, cart);
    const device = names.sender(0, 0x80);
    names.claim(0, 0x80, other);
    expect(names.sender(0, 0x80)).not.toBe(device);
    names.claim(0, 0x81, cart);
    expect(names.sender(0, 0x81)).toBe(device);
  });

  test('"cannot claim" leaves the address to nobody known', () => {
    const names = createNames();
    names.claim(0, 0x80, cart);
    const device = names.sender(0, 0x80);
    expect(names.claim(0, 254, cart)).toEqual([0x80]);
    expect(names.sender(0, 0x80)).not.toBe(device);
  });

  test('buses are separate', () => {
    const names = createNames();
    names.claim(0, 0x80, cart);
    expect(names.sender(1, 0x80).name).toBeUndefined();
  });
});

test('in the decoder: one channel follows the device, another one starts for its successor', () => {
  const log = decodeLines([
    '0CFE4880#E803000000000000', `18EEFF80#${CART}`, '0CFE4880#D007000000000000',
    `18EEFF85#${CART}`, '0CFE4885#B80B000000000000', `18EEFF80#${OTHER}`, '0CFE4880#A00F000000000000',
  ]);
  const speeds = log.channels.filter((channel) => channel.id === 'wheel.speed');
  expect(speeds.map((channel) => [channel.source.name, channel.source.sourceAddress, ...channel.value])).toEqual([
    ['a0088000afe00002', 0x85, 1, 2, 3], ['a0008600afe00015', 0x80, 4],
  ]);
});
