import { fork } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { fileURLToPath } from 'node:url';
import { createRandom } from '../formats/damage.ts';
import { campaign, targets, type Progress, type Target } from './campaign.ts';
import { killSavers } from './store-kills.ts';

/*
 * `npm run fuzz -- [FORMAT…] [store] [--seed N] [--share X]`: one million damaged lines of each text format and 100,000 damaged files of each
 * binary one (times X), each format in a child process that is watched: an exception, a byte unaccounted for or two seconds
 * without progress per megabyte is a failure, told with the seed and round that bring it back. `store`: 200 processes killed while they keep days.
 */

const LINES = 1_000_000;
const FILES = 100_000;
const KILLS = 200;
const STORE = 'store';
/** ms */
const LONGEST_PER_MEGABYTE = 2000;
const LONGEST_AT_LEAST = 5000;
const WATCH_EVERY = 500;

const isChild = process.send !== undefined && process.argv[2] === 'child';
if (isChild) await work();
else await watch();

async function work(): Promise<void> {
  const [, , , id, count, seed] = process.argv;
  const target = targets.find((candidate) => candidate.id === id);
  if (target === undefined) throw new Error(`no format ${id}`);
  let told = 0;
  const done = await campaign(target, Number(count), Number(seed), (progress) => {
    if (performance.now() - told < 100) return;
    told = performance.now();
    process.send?.(progress);
  });
  process.send?.({ done });
  process.disconnect();
}

async function watch(): Promise<void> {
  const words = process.argv.slice(2);
  const option = (name: string, otherwise: number): number => (words.includes(name) ? Number(words[words.indexOf(name) + 1]) : otherwise);
  const seed = option('--seed', 1);
  const share = option('--share', 1);
  const asked = words.filter((word, i) => !word.startsWith('--') && words[i - 1]?.startsWith('--') !== true);
  let failed = false;
  for (const target of targets.filter(({ id }) => asked.length === 0 || asked.includes(id))) {
    const count = Math.ceil((target.kind === 'lines' ? LINES : FILES) * share);
    const start = performance.now();
    const problem = await watched(target, count, seed);
    const seconds = ((performance.now() - start) / 1000).toFixed(1);
    process.stdout.write(`${target.id.padEnd(16)}${String(count).padStart(9)} ${target.kind}  ${seconds.padStart(6)} s  ${problem ?? 'no failure'}\n`);
    failed ||= problem !== undefined;
  }
  if (asked.length === 0 || asked.includes(STORE)) failed = !(await storeHolds(Math.ceil(KILLS * share), seed)) || failed;
  process.exitCode = failed ? 1 : 0;
}

async function storeHolds(kills: number, seed: number): Promise<boolean> {
  const folder = mkdtempSync(path.join(tmpdir(), 'sowtrace-kills-'));
  const start = performance.now();
  const saver = fileURLToPath(new URL('./store-saver.js', import.meta.url));
  let outcome: string;
  let holds = true;
  try {
    const { acknowledged, leftOver } = await killSavers(kills, path.join(folder, 'cases'), saver, createRandom(seed));
    outcome = `no failure (${acknowledged} days acknowledged, ${leftOver} left-overs swept)`;
  } catch (error) {
    holds = false;
    outcome = error instanceof Error ? error.message : String(error);
  }
  rmSync(folder, { recursive: true, force: true });
  process.stdout.write(`${STORE.padEnd(16)}${String(kills).padStart(9)} kills  ${((performance.now() - start) / 1000).toFixed(1).padStart(6)} s  ${outcome}\n`);
  return holds;
}

/** Why the child failed; undefined when it did all its work. */
function watched(target: Target, count: number, seed: number): Promise<string | undefined> {
  return new Promise((resolve) => {
    const child = fork(fileURLToPath(import.meta.url), ['child', target.id, String(count), String(seed)], { stdio: ['ignore', 'ignore', 'pipe', 'ipc'] });
    let last: Progress | undefined;
    let seen = performance.now();
    let done = false;
    let hung = false;
    let words = '';
    child.stderr?.on('data', (text: Buffer) => { words = `${words}${text.toString()}`.slice(-4000); });
    child.on('message', (message: Progress | { readonly done: number }) => {
      if ('done' in message) done = message.done >= count;
      else last = message;
      seen = performance.now();
    });
    const watchdog = setInterval(() => {
      const allowed = Math.max(LONGEST_AT_LEAST, ((last?.bytes ?? 0) / 1e6) * LONGEST_PER_MEGABYTE);
      if (performance.now() - seen < allowed) return;
      hung = true;
      child.kill('SIGKILL');
    }, WATCH_EVERY);
    child.on('exit', (code, signal) => {
      clearInterval(watchdog);
      if (done && code === 0) resolve(undefined);
      else if (hung) resolve(`hangs near round ${last?.round} of seed ${seed}`);
      else resolve(/Error: (.*)/.exec(words)?.[1] ?? `ended with ${code ?? signal} near round ${last?.round}`);
    });
  });
}
