import { gzipSync } from 'node:zlib';
import { FromPgn } from '@canboat/canboatjs';
import papa from 'papaparse';
import { candump } from '../../src/formats/candump/candump.ts';
import { csv } from '../../src/formats/csv/csv.ts';
import type { LogFormat, LogSink } from '../../src/formats/log-format.ts';
import { openBytes } from '../../src/open-log.ts';
import { createRandom } from '../formats/damage.ts';

export interface BenchRow {
  readonly what: string;
  readonly measured: string;
  readonly target: string;
  readonly isReached: boolean;
}

const FRAMES = 1_000_000;
export const CANBOAT_LINES = 20_000;
const CSV_COLUMNS = 110;
const CSV_ROWS = 20_000;
const TIMES = 4;
const ROUNDS = 2;
const PIECE = 1 << 18;

/** Ratios of rates measured in one run, so that they hold on any machine; the best of several of each. */
export async function readingBench(): Promise<readonly BenchRow[]> {
  const log = candumpLog();
  const table = csvTable();
  const packed = gzipSync(log, { level: 6 });

  const text = table.toString('latin1');
  const seconds = await best({
    lane: () => readAll(candump, log),
    bare: () => bareLoop(log),
    canboat: () => canboatLines(log),
    gz: () => readPacked(candump, packed),
    csv: () => readAll(csv, table),
    papa: () => void papa.parse(text, { header: false, delimiter: ',' }),
  });
  const frames = FRAMES / seconds.lane;
  const bare = FRAMES / seconds.bare;
  const canboat = CANBOAT_LINES / seconds.canboat;
  const gz = FRAMES / seconds.gz;
  const lane = table.length / seconds.csv;
  const papaRate = table.length / seconds.papa;

  return [
    row('candump lane', `${millions(frames)} M frames/s`, '≥ 3 M frames/s', frames >= 3e6),
    row('bare newline and hex loop ÷ candump lane', (bare / frames).toFixed(2), '≤ 4', bare / frames <= 4),
    row('candump lane ÷ canboatjs on the same lines', (frames / canboat).toFixed(1), '≥ 3', frames / canboat >= 3),
    row('candump lane, gz input', `${millions(gz)} M frames/s`, '≥ 1 M frames/s', gz >= 1e6),
    row(`csv lane, ${CSV_COLUMNS} columns`, `${millions(lane)} MB/s`, '', true),
    row('csv lane ÷ PapaParse alone', (lane / papaRate).toFixed(2), '≥ 4', lane / papaRate >= 4),
  ];
}

export const row = (what: string, measured: string, target: string, isReached: boolean): BenchRow => ({ what, measured, target, isReached });
export const millions = (rate: number): string => (rate / 1e6).toFixed(2);

/**
 * Processor seconds of the fastest of several runs of each: what one core does, also while others are busy.
 * Each is run several times on end, warm and past the garbage of the one before, and all of it twice, so that a slow minute of the machine is no one's alone.
 */
export async function best<Name extends string>(runs: Readonly<Record<Name, () => unknown>>): Promise<Record<Name, number>> {
  const least = new Map<Name, number>();
  for (let round = 0; round < ROUNDS; round += 1) {
    for (const [name, run] of Object.entries(runs) as [Name, () => unknown][]) {
      for (let i = 0; i < TIMES; i += 1) {
        const start = process.cpuUsage();
        await run();
        const { user, system } = process.cpuUsage(start);
        least.set(name, Math.min(least.get(name) ?? Number.POSITIVE_INFINITY, (user + system) / 1e6));
      }
    }
  }
  return Object.fromEntries(least) as Record<Name, number>;
}

/** Two buses, 30 identifiers, eight bytes. */
function candumpLog(): Buffer {
  const random = createRandom(1);
  const hex = (): string => random(0x100000000).toString(16).padStart(8, '0').toUpperCase();
  const lines: string[] = [];
  for (let i = 0; i < FRAMES; i += 1) {
    const id = (0x0df80000 + (i % 30) * 0x100 + 0x22).toString(16).padStart(8, '0').toUpperCase();
    lines.push(`(${1_746_532_800 + Math.floor(i / 2000)}.${String((i % 2000) * 500).padStart(6, '0')}) can${i & 1} ${id}#${hex()}${hex()}\n`);
  }
  return Buffer.from(lines.join(''));
}

/** 10 Hz rows with two to four decimals, as an exporter writes them. */
function csvTable(): Buffer {
  const random = createRandom(2);
  const lines = [['time', ...Array.from({ length: CSV_COLUMNS - 1 }, (_, i) => `run.${i + 1}.count`)].join(',')];
  for (let i = 0; i < CSV_ROWS; i += 1) {
    const cells = Array.from({ length: CSV_COLUMNS - 1 }, (_, c) => (random(4_000_000) / 10_000).toFixed(2 + (c % 3)));
    lines.push([new Date(1_746_532_800_000 + i * 100).toISOString(), ...cells].join(','));
  }
  return Buffer.from(`${lines.join('\n')}\n`);
}

async function* inPieces(bytes: Uint8Array): AsyncGenerator<Uint8Array> {
  for (let at = 0; at < bytes.length; at += PIECE) yield bytes.subarray(at, at + PIECE);
}

function countingSink(): { readonly sink: LogSink; readonly records: () => number } {
  let records = 0;
  const buses: string[] = [];
  const nothing = (): void => undefined;
  return {
    records: () => records,
    sink: {
      bus: (name) => (buses.includes(name) ? buses.indexOf(name) : buses.push(name) - 1),
      frames: nothing, message: nothing, rejected: nothing, ignored: nothing, note: nothing,
      column: () => ({ push: nothing }),
      table: () => ({ rows: nothing }),
      device: () => ({ push: nothing }),
      accepted: (_, count) => { records += count; },
    },
  };
}

async function readAll(format: LogFormat, bytes: Uint8Array): Promise<void> {
  const { sink, records } = countingSink();
  await format.read(inPieces(bytes), sink);
  if (records() !== FRAMES && records() !== CSV_ROWS) throw new Error(`${records()} records read`);
}

async function readPacked(format: LogFormat, packed: Uint8Array): Promise<void> {
  const { sink, records } = countingSink();
  await format.read(openBytes('bench.gz', packed).bytes(), sink);
  if (records() !== FRAMES) throw new Error(`${records()} records read`);
}

const HEX = new Uint8Array(256).fill(255);
for (let digit = 0; digit < 16; digit += 1) HEX[digit.toString(16).toUpperCase().charCodeAt(0)] = digit;

/** The least that any reader must do: find the lines and read the hexadecimal digits in them. */
export function bareLoop(bytes: Uint8Array, expected = FRAMES): void {
  let lines = 0;
  let sum = 0;
  for (let i = 0; i < bytes.length; i += 1) {
    const byte = bytes[i] as number;
    if (byte === 10) lines += 1;
    else {
      const digit = HEX[byte] as number;
      if (digit < 16) sum = ((sum << 4) | digit) | 0;
    }
  }
  if (lines !== expected) throw new Error(`${lines} lines, sum ${sum}`);
}

/** canboatjs' own parse of the same lines, strings made beforehand. */
const canboatInput = new Map<Buffer, readonly string[]>();
export function canboatLines(log: Buffer): void {
  const known = canboatInput.get(log) ?? log.subarray(0, CANBOAT_LINES * 60).toString('latin1').split('\n').slice(0, CANBOAT_LINES);
  canboatInput.set(log, known);
  const parser = new FromPgn({ format: 1 });
  parser.on('error', () => undefined);
  parser.on('warning', () => undefined);
  for (const line of known) parser.parseString(line, () => undefined);
}
