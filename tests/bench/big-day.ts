import { spawn } from 'node:child_process';
import { closeSync, existsSync, openSync, readSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { fileURLToPath } from 'node:url';
import { busDaySignals, writeBusDay } from './bus-day.ts';
import { millions, row, type BenchRow } from './reading.ts';

const FRAMES = 40_000_000;
const LONGEST = 30;
const MOST_MEMORY = 700e6;
const CLI = fileURLToPath(new URL('../../src/cli/main.js', import.meta.url));

/** The whole of `check` on 12 hours of a busy bus, against a bare loop over the same file; the log stays in the temporary folder for the next time. */
export async function bigDay(): Promise<readonly BenchRow[]> {
  const log = path.join(tmpdir(), `sowtrace-bus-day-${FRAMES}.log`);
  const signals = path.join(tmpdir(), 'sowtrace-bus-day-signals.json');
  if (!existsSync(log)) writeBusDay(log, FRAMES);
  writeFileSync(signals, busDaySignals());
  const bareStart = performance.now();
  bareFile(log);
  const bare = (performance.now() - bareStart) / 1000;
  const { seconds, memory } = await check(log, signals);
  return [
    row('bare loop over the file', `${bare.toFixed(1)} s, ${(statSync(log).size / 1e9).toFixed(2)} GB`, '', true),
    row('check, 12 hours of a bus', `${seconds.toFixed(1)} s`, `< ${LONGEST} s, or 6 × the bare loop`, seconds < LONGEST || seconds < bare * 6),
    row('check, frames per second', `${millions(FRAMES / seconds)} M`, '', true),
    row('check, resident memory', `${(memory / 1e6).toFixed(0)} MB`, `< ${MOST_MEMORY / 1e6} MB`, memory < MOST_MEMORY),
  ];
}

/** Wall time and the highest resident memory, as the process itself reports it at its end. */
function check(log: string, signals: string): Promise<{ readonly seconds: number; readonly memory: number }> {
  return new Promise((resolve, reject) => {
    const start = performance.now();
    const report = "process.on('exit', () => process.stderr.write(`\\nmaxRSS ${process.resourceUsage().maxRSS}\\n`))";
    const child = spawn(process.execPath, ['--import', `data:text/javascript,${encodeURIComponent(report)}`, CLI, 'check', log, '--signals', signals, '--quiet'], { stdio: ['ignore', 'ignore', 'pipe'] });
    let words = '';
    child.stderr.on('data', (text: Buffer) => { words += text.toString(); });
    child.on('exit', (code) => {
      const kilobytes = Number(/maxRSS (\d+)/.exec(words)?.[1] ?? Number.NaN);
      if (code === 0 || code === 1) resolve({ seconds: (performance.now() - start) / 1000, memory: kilobytes * 1024 });
      else reject(new Error(`check ended with ${code}: ${words.slice(0, 500)}`));
    });
  });
}

/** The least that any reader must do: read the file, find the lines and read the hexadecimal digits in them. */
function bareFile(file: string): void {
  const handle = openSync(file, 'r');
  const buffer = Buffer.allocUnsafe(1 << 22);
  let lines = 0;
  let sum = 0;
  for (let size = readSync(handle, buffer); size > 0; size = readSync(handle, buffer)) {
    for (let i = 0; i < size; i += 1) {
      const byte = buffer[i] as number;
      if (byte === 10) lines += 1;
      else if (byte >= 48) sum = ((sum << 4) | ((byte & 15) + (byte >> 6) * 9)) | 0;
    }
  }
  closeSync(handle);
  if (lines !== FRAMES) throw new Error(`${lines} lines, sum ${sum}`);
}
