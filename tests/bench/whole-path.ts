import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { gzipSync } from 'node:zlib';
import type { Day } from '../../shared/day.ts';
import { parseSignals } from '../../src/messages/signals-file.ts';
import { openBytes } from '../../src/open-log.ts';
import { readOpenedLogs } from '../../src/read-logs.ts';
import { LOG_HEADER, TASK_FILE, timeLog } from '../formats/taskdata/task-sample.ts';
import { busDaySignals, writeBusDay } from './bus-day.ts';
import { CANBOAT_LINES, bareLoop, best, canboatLines, millions, row, type BenchRow } from './reading.ts';

/** Enough that what is done once per log (recognising, assembling) has the share it has in a real day, or nearly. */
const FRAMES = 2_000_000;
const TASK_RECORDS = 40_000;
const TASK_VALUES = 8;

/** From the file's bytes to the day's channels: speeds, position, engine and 60 runs from signals.json; SHA-256 and all checks included. */
export async function wholePathBench(): Promise<readonly BenchRow[]> {
  const folder = mkdtempSync(path.join(tmpdir(), 'sowtrace-bench-'));
  try {
    const file = path.join(folder, 'day.log');
    writeBusDay(file, FRAMES);
    const log = readFileSync(file);
    const packed = gzipSync(log, { level: 6 });
    const captured = asPcapng(log);
    const signals = parseSignals(busDaySignals(), 'signals.json');
    const read = async (name: string, bytes: Uint8Array): Promise<void> => {
      const day = await readOpenedLogs([openBytes(name, bytes)], { signals });
      expectFrames(day, FRAMES);
    };
    const seconds = await best({
      whole: () => read('day.log', log),
      bare: () => bareLoop(log, FRAMES),
      canboat: () => canboatLines(log),
      gz: () => read('day.log.gz', packed),
      pcapng: () => read('day.pcapng', captured),
      task: readTask,
    });
    const whole = FRAMES / seconds.whole;
    const bare = FRAMES / seconds.bare;
    const canboat = CANBOAT_LINES / seconds.canboat;
    const gz = FRAMES / seconds.gz;
    const pcapng = FRAMES / seconds.pcapng;
    const task = (TASK_RECORDS * TASK_VALUES) / seconds.task;
    return [
      row('candump → channels, 60 runs', `${millions(whole)} M frames/s`, '≥ 1.5 M frames/s', whole >= 1.5e6),
      row('bare loop ÷ candump → channels', (bare / whole).toFixed(2), '≤ 4', bare / whole <= 4),
      row('candump → channels ÷ canboatjs on the same lines', (whole / canboat).toFixed(1), '≥ 20', whole / canboat >= 20),
      row('candump → channels, gz', `${millions(gz)} M frames/s`, '', true),
      row('pcapng → channels', `${millions(pcapng)} M frames/s`, '', true),
      row('task data → channels', `${millions(task)} M values/s`, '', true),
    ];
  } finally {
    rmSync(folder, { recursive: true });
  }
}

function expectFrames(day: Day, frames: number): void {
  if (day.logs[0]?.records !== frames) throw new Error(`${day.logs[0]?.records} records read`);
}

/** The same frames as enhanced packet blocks of one section. */
function asPcapng(log: Buffer): Uint8Array {
  const lines = log.toString('latin1').split('\n').slice(0, -1);
  const bytes = Buffer.alloc(28 + 2 * 20 + lines.length * 48);
  const words = (at: number, ...values: readonly number[]): number => values.reduce((place, value) => bytes.writeUInt32LE(value >>> 0, place), at);
  let at = words(0, 0x0a0d0d0a, 28, 0x1a2b3c4d, 1, 0xffffffff, 0xffffffff, 28);
  for (let bus = 0; bus < 2; bus += 1) at = words(at, 1, 20, 227, 0, 20);
  for (const line of lines) {
    const micro = Number(line.slice(1, 11)) * 1e6 + Number(line.slice(12, 18));
    const start = at;
    at = words(at, 6, 48, Number(line.charAt(23)), Math.floor(micro / 2 ** 32), micro % 2 ** 32, 16, 16);
    bytes.writeUInt32BE((Number.parseInt(line.slice(25, 33), 16) | 0x80000000) >>> 0, at);
    bytes[at + 4] = 8;
    bytes.write(line.slice(34, 50), at + 8, 'hex');
    at = words(start + 44, 48);
  }
  return bytes;
}

let taskLog: Uint8Array | undefined;
async function readTask(): Promise<void> {
  taskLog ??= timeLog(Array.from({ length: TASK_RECORDS }, (_, second) => ({ second, values: Array.from({ length: TASK_VALUES }, (_value, i) => [i, second % 65_000] as const) })));
  const binary = taskLog;
  const beside = async (name: string): Promise<ReturnType<typeof openBytes> | undefined> =>
    (name === 'TLG00001.XML' ? openBytes(name, LOG_HEADER) : name === 'TLG00001.BIN' ? openBytes(name, binary) : undefined);
  expectFrames(await readOpenedLogs([{ ...openBytes('TASKDATA.XML', TASK_FILE), beside }]), TASK_RECORDS);
}
