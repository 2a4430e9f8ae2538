import { describe, expect, test } from 'vitest';
import { SetupError } from '../../../src/core/errors.ts';
import { parseColumns } from '../../../src/formats/csv/columns-file.ts';
import { mapHeading } from '../../../src/formats/csv/headings.ts';

describe('headings: CHANNEL or CHANNEL [unit] (contract 3)', () => {
  test.each<[string, string, number, number, number]>([
    ['wheel.speed', 'wheel.speed', 2, 2, 1e-15],
    ['wheel.speed [km/h]', 'wheel.speed', 36, 10, 1e-12],
    ['Wheel.Speed (mph)', 'wheel.speed', 10, 4.4704, 1e-12],
    ['oil.temperature [°C]', 'oil.temperature', 20, 293.15, 1e-12],
    ['oil.temperature [°F]', 'oil.temperature', 68, 293.15, 1e-9],
    ['gnss.lat', 'gnss.lat', 52.36, 52.36, 0],
    ['gnss.lat [deg]', 'gnss.lat', 52.36, 52.36, 1e-12],
    ['gnss.course', 'gnss.course', 180, Math.PI, 1e-12],
    ['gnss.course [rad]', 'gnss.course', 1, 1, 0],
    ['meter.2.target', 'meter.2.target', 120, 0.012, 1e-12],
    ['meter.2.target [lb/ac]', 'meter.2.target', 100, 0.0112085116, 1e-9],
    ['tank.1.pressure [kPa]', 'tank.1.pressure', 4.2, 4200, 1e-9],
    ['fan.1.speed [rpm] (2)', 'fan.1.speed', 3500, 3500, 0],
  ])('%s is %s; %d is %d', (heading, channel, written, carried, tolerance) => {
    const meaning = mapHeading(heading);
    expect(meaning).toMatchObject({ channel });
    const { factor, offset } = meaning as { factor: number; offset: number };
    expect(Math.abs(written * factor + offset - carried)).toBeLessThanOrEqual(tolerance);
  });

  test('a unit of another kind is told, not guessed', () => {
    expect(mapHeading('fan.1.speed [kPa]')).toEqual({ suggestions: ['fan.1.speed'], problem: expect.stringMatching(/unit "kPa", which does not fit; known for it are rpm, r\/min/) });
  });

  test('an unknown heading gives suggestions', () => {
    expect(mapHeading('Fan upper (rpm)')).toEqual({ suggestions: expect.arrayContaining(['fan.1.speed']) });
  });
});

describe('columns.json', () => {
  const file = (columns: unknown): string => JSON.stringify({ columns });
  test('the example of contract 3', () => {
    expect(parseColumns(file({ 'Fan upper': { channel: 'fan.1.speed', unit: 'rpm' } }), 'columns.json').columns.get('Fan upper')).toEqual({ channel: 'fan.1.speed', unit: 'rpm', factor: 1, offset: 0 });
  });

  test('a time column', () => {
    expect(parseColumns(file({ Zeit: { channel: 'time', unit: 'ms' } }), 'columns.json').timeColumn).toEqual({ heading: 'Zeit', unit: 'ms' });
  });

  test.each([
    ['{', 'columns.json is not valid JSON'],
    ['[]', 'columns.json has no "columns" object.'],
    [file({ a: 1 }), 'columns.json: column "a" must be an object with "channel".'],
    [file({ a: {} }), 'columns.json: column "a" has no "channel".'],
    [file({ a: { channel: 'fan.1.spead' } }), 'columns.json: column "a" names the channel "fan.1.spead", which does not exist.'],
    [file({ a: { channel: 'fan.1.speed', unit: 'kg' } }), 'columns.json: column "a" gives fan.1.speed the unit "kg", which does not fit; known for it are rpm'],
    [file({ a: { channel: 'fan.1.speed', units: 'rpm' } }), 'columns.json: column "a" has the unknown key "units".'],
    [file({ a: { channel: 'time' }, b: { channel: 'time' } }), 'columns.json: column "b" is named time, and so is "a".'],
  ])('%s is refused: %s', (text, message) => {
    expect(() => parseColumns(text, 'columns.json')).toThrow(SetupError);
    expect(() => parseColumns(text, 'columns.json')).toThrow(message);
  });
});
