import { FromPgn } from '@canboat/canboatjs';
import Papa from 'papaparse';
import { describe, expect, it } from 'vitest';
import { STANDARD, ownMessages } from './world/can-messages.ts';
import { cutWorld } from './world/cut.ts';
import { scenario, scenarios } from './world/scenario.ts';
import type { World } from './world/world.ts';
import { writeCandump } from './world/write-candump.ts';
import { writeCsv } from './world/write-csv.ts';

/* The same day in both forms holds the same numbers: read back here by libraries that know nothing of the generator. */

const world = cutWorld(scenario('S08').build(1), 10_800, 11_400);
const channel = (id: string, from: World = world): World['channels'][number] => {
  const found = from.channels.find((candidate) => candidate.id === id);
  if (found === undefined) throw new Error(`no ${id}`);
  return found;
};

describe('CSV', () => {
  const rows = Papa.parse<Record<string, string>>(writeCsv(world, { file: 'one' }), { header: true, skipEmptyLines: true }).data;
  const read = (heading: string): { time: number; value: number }[] =>
    rows.filter((row) => row[heading] !== '').map((row) => ({ time: Date.parse(row['time'] ?? '') / 1000 - world.dayStart, value: Number(row[heading]) }));

  it.each([['gnss.lat [deg]', 1, 0, 1e-8], ['gnss.course [deg]', Math.PI / 180, 0, 1e-5], ['tank.1.mass [kg]', 1, 0, 0.5], ['meter.1.target [kg/ha]', 1e-4, 0, 1e-6], ['oil.temperature [°C]', 1, 273.15, 0.006], ['run.47.count', 1, 0, 0], ['tank.1.pressure [kPa]', 1000, 0, 0.6]])('%s reads back', (heading, factor, offset, tolerance) => {
    const source = channel(heading.split(' ')[0] ?? '');
    const back = read(heading);
    expect(back.length).toBe(source.time.length);
    for (let i = 0; i < back.length; i += 37) {
      expect(Math.abs((back[i]?.time ?? 0) - (source.time[i] as number))).toBeLessThan(0.0011);
      expect(Math.abs((back[i]?.value ?? 0) * factor + offset - (source.value[i] as number))).toBeLessThanOrEqual(tolerance + 1e-9);
    }
  });

  it('holds the cart and the tractor apart, together every channel once', () => {
    const heads = (file: 'cart' | 'tractor' | 'one'): string[] => (writeCsv(world, { file }).split('\n')[0] ?? '').split(',').slice(1);
    expect([...heads('cart'), ...heads('tractor')].sort()).toEqual(heads('one').sort());
    expect(heads('one').length).toBe(world.channels.length);
  });

  it('shows the cart of S12 in local time, 47 s ahead and gaining 1.8 s/h', () => {
    const s12 = scenario('S12').build(1);
    const lines = writeCsv({ ...s12, channels: s12.channels.filter((c) => c.id === 'wheel.pulses') }, { file: 'cart' }).split('\n');
    expect(lines[1]?.split(',')[0]).toBe('2031-05-12T02:00:47.000');
    expect(lines[1 + 9 * 3600]?.split(',')[0]).toBe('2031-05-12T11:01:03.200');
  });
});

interface Signal { readonly channel: string; readonly pgn: number; readonly startBit: number; readonly length: number; readonly factor: number; readonly offset: number; readonly selector?: { readonly equals: number } }

describe('candump', () => {
  const { log, signals } = writeCandump(world);
  const frames = new TextDecoder().decode(log).trimEnd().split('\n').map((line) => {
    const match = /^\((\d{10}\.\d{6})\) can0 ([0-9A-F]{8})#([0-9A-F]*)$/.exec(line);
    if (match === null) throw new Error(`not a candump line: ${line}`);
    const id = Number.parseInt(match[2] ?? '', 16);
    return { time: Number(match[1]) - world.dayStart, id, pgn: (id >>> 8) & 0x3ffff, data: match[3] ?? '' };
  });

  it('is in time order', () => {
    expect(frames.every((frame, i) => i === 0 || frame.time >= (frames[i - 1]?.time ?? 0))).toBe(true);
  });

  it('gives canboatjs the same position, speed, course, fix and time', () => {
    const parser = new FromPgn({ useCamel: true });
    const seen = new Map<number, { time: number; fields: Record<string, unknown> }[]>();
    for (const frame of frames.slice(0, 9000)) {
      if (frame.pgn < 126_000) continue;
      const bytes = (frame.data.match(/../g) ?? []).map((byte) => byte.toLowerCase());
      const pgn = parser.parseString(`2031-05-08T00:00:00.000Z,${frame.id >>> 26},${frame.pgn},${frame.id & 255},255,${bytes.length},${bytes.join(',')}`) as { pgn: number; fields: Record<string, unknown> } | undefined;
      if (pgn !== undefined) seen.set(pgn.pgn, [...(seen.get(pgn.pgn) ?? []), { time: frame.time, fields: pgn.fields }]);
    }
    const lat = channel('gnss.lat');
    const quick = seen.get(129025) ?? [];
    expect(quick.length).toBeGreaterThan(400);
    for (const [i, { fields }] of quick.entries()) expect(Number(fields['latitude'])).toBeCloseTo(lat.value[i] as number, 6);
    for (const [i, { fields }] of (seen.get(129026) ?? []).entries()) {
      expect(Math.abs(Number(fields['sog']) - (channel('gnss.speed').value[i] as number))).toBeLessThan(0.0051);
      expect(Math.abs(Number(fields['cog']) - (channel('gnss.course').value[i] as number))).toBeLessThan(0.00006);
    }
    const slow = seen.get(129029) ?? [];
    expect(slow.length).toBeGreaterThan(80);
    for (const [i, { fields }] of slow.entries()) {
      expect(Number(fields['latitude'])).toBeCloseTo(lat.value[i * 5] as number, 7);
      expect(fields['method']).toBe('RTK Fixed Integer');
      expect(Number(fields['hdop'])).toBeCloseTo(channel('gnss.hdop').value[i] as number, 2);
    }
    expect((seen.get(126992) ?? [])[3]?.fields['time']).toBe('10:40:03');
  });

  it('gives the cart’s own messages back by signals.json', () => {
    const list = (signals as { signals: readonly Signal[] }).signals;
    const raw = (data: string, signal: Signal): number => {
      let value = 0n;
      for (const [i, byte] of (data.match(/../g) ?? []).entries()) value |= BigInt(Number.parseInt(byte, 16)) << BigInt(8 * i);
      return Number((value >> BigInt(signal.startBit)) & ((1n << BigInt(signal.length)) - 1n));
    };
    for (const id of ['tank.1.mass', 'tank.4.pressure', 'fan.2.speed', 'meter.1.turns', 'run.47.count', 'run.60.count', 'wheel.pulses']) {
      const signal = list.find((candidate) => candidate.channel === id);
      if (signal === undefined) throw new Error(`${id} not described`);
      const values = frames
        .filter((frame) => frame.pgn === signal.pgn && (signal.selector === undefined || Number.parseInt(frame.data.slice(0, 2), 16) === signal.selector.equals))
        .map((frame) => raw(frame.data, signal) * signal.factor + signal.offset);
      const source = channel(id);
      expect(values.length).toBe(source.time.length);
      for (const [i, value] of values.entries()) expect(Math.abs(value - (source.value[i] as number))).toBeLessThanOrEqual(signal.factor / 2 + 1e-6);
    }
  });

  it('keeps every frame when other machines talk and lines are damaged', () => {
    const noisy = new TextDecoder().decode(writeCandump(world, { noise: true }).log).trimEnd().split('\n');
    expect(noisy.length).toBeGreaterThan(frames.length + 2000);
    expect(noisy.filter((line) => !/^\(\d{10}\.\d{6}\) can0 [0-9A-F]{3,8}#/.test(line)).length).toBeGreaterThan(0);
  });
});

describe('scenarios', () => {
  it('leave no channel out of the candump form', () => {
    for (const id of ['S06', 'D-cell', 'C8', 'V7']) {
      const channels = new Set(cutWorld(scenario(id).build(1), 0, 30).channels.map((c) => c.id));
      const carried = new Set([...STANDARD, ...ownMessages(channels, 200)].flatMap((message) => message.fields.map((f) => f.channel)));
      for (const id129029 of ['gnss.fix', 'gnss.hdop', 'gnss.sats']) carried.add(id129029);
      expect([...channels].filter((channel) => !carried.has(channel))).toEqual([]);
    }
  });

  it('have ids of their own, and a truth whose patterns are regular expressions', () => {
    expect(new Set(scenarios.map(({ id }) => id)).size).toBe(scenarios.length);
  });
  it('build the same day from the same seed, another from another', () => {
    const [a, b, c] = [1, 1, 2].map((seed) => channel('run.5.count', scenario('V14').build(seed)).value);
    expect(a).toEqual(b);
    expect(a).not.toEqual(c);
  });
});
