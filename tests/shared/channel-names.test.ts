import { describe, expect, test } from 'vitest';
import { channelUnit, contractChannels, isKnownChannel, suggestChannels } from '../../shared/channel-names.ts';

describe('channel names of contract 4', () => {
  test.each([
    ['wheel.speed', 'm/s'], ['wheel.pulses', 'count'], ['gnss.lat', 'deg'], ['gnss.course', 'rad'], ['fan.3.target', 'rpm'], ['tank.2.cell.4', 'kg'],
    ['meter.1.target', 'kg/m²'], ['meter.1.turns', 'turn'], ['run.120.count', '1/s'], ['run.7.blocked', '1'], ['oil.temperature', 'K'],
  ])('%s is carried in %s', (id, unit) => {
    expect(channelUnit(id)).toBe(unit);
  });

  test.each(['wheel', 'fan.speed', 'fan.0.speed', 'fan.01.speed', 'tank.N.mass', 'run.1.count.2', 'constructor', '__proto__', ''])('"%s" is no channel', (id) => {
    expect(isKnownChannel(id)).toBe(false);
  });

  test('every name of the contract is known once numbered', () => {
    for (const name of contractChannels) expect(isKnownChannel(name.replace('.N', '.2').replace('.M', '.3'))).toBe(true);
  });

  test.each([
    ['Fan upper', 'fan.1.speed'], ['Fan 2 rpm', 'fan.2.speed'], ['Bin 3 weight [kg]', 'tank.3.mass'], ['Latitude', 'gnss.lat'], ['GPS Speed (km/h)', 'gnss.speed'],
    ['Row 17 seeds', 'run.17.count'], ['wheel_speed', 'wheel.speed'], ['weel.speed', 'wheel.speed'], ['Tank2Pressure', 'tank.2.pressure'], ['Section 4 state', 'section.4.on'],
  ])('"%s" is most likely %s', (heading, channel) => {
    expect(suggestChannels(heading)[0]).toBe(channel);
  });

  test('a heading that means none of them suggests nothing', () => {
    expect(suggestChannels('Operator remarks')).toEqual([]);
    expect(suggestChannels('')).toEqual([]);
  });
});
