import { describe, expect, test } from 'vitest';
import { channel, decode, hasRealLogs, realText, valuesOf } from './bus-lines.ts';
import { screenFrames } from './nmea2000-reference.ts';

/** canboat analyzer/tests/j1939-pgn-test: a real outboard engine, and what the C decoder printed. */
describe.skipIf(!hasRealLogs)('J1939 engine recording', () => {
  const frames = hasRealLogs ? screenFrames(realText('j1939/j1939-pgn-test.in')) : [];
  const log = decode(frames);
  const printed = (pgn: number, field: RegExp): number[] => realText('j1939/j1939-pgn-test.out.gz').split('\n')
    .filter((line) => line.split(/\s+/)[4] === String(pgn)).map((line) => Number(field.exec(line)?.[1] ?? Number.NaN));

  test('853 frames of nine messages are counted', () => {
    expect(frames).toHaveLength(853);
    expect(Object.fromEntries(log.messages.map((message) => [message.pgn, message.count]))).toEqual({
      60928: 1, 61443: 198, 61444: 495, 65226: 10, 65262: 10, 65266: 99, 65269: 10, 65270: 20, 65271: 10,
    });
  });

  test('engine speed: all 495, to the printed tenth', () => {
    const expected = printed(61444, /Engine RPM = ([\d.]+) rpm/);
    expect(expected).toHaveLength(495);
    const found = valuesOf(log, 'engine.speed');
    expect(expected.filter((rpm, i) => !(Math.abs(rpm - (found[i] ?? Number.NaN)) <= 0.0501) && !(Number.isNaN(rpm) && Number.isNaN(found[i])))).toEqual([]);
    expect(channel(log, 'engine.speed').source.name).toBe('40649600e8ddf28e');
  });

  test('engine oil and ambient air are not available in it, and no channel pretends otherwise', () => {
    expect(printed(65262, /Engine Oil Temp 1 = ([\d.]+)/)).toEqual(Array.from({ length: 10 }, () => Number.NaN));
    expect(log.channels.map((found) => found.id)).toEqual(['engine.speed']);
    expect(log.notes).toEqual(["Sent, but always 'not available': air.temperature, engine.oil.temperature."]);
  });
});
