import { spawn } from 'node:child_process';
import { readdir } from 'node:fs/promises';
import path from 'node:path';
import { openStore } from '../../src/index.ts';
import type { Random } from '../formats/damage.ts';
import { smallDay } from '../store/small-day.ts';

/** ms from the first day kept, or from the start of the first; a save takes about ten. */
const LONGEST_LIFE = 150;
const SWEEPER = 'swept';
const MOST_CASES = 12;

export interface Kills {
  readonly killed: number;
  /** Days that were kept and acknowledged over all lives. */
  readonly acknowledged: number;
  /** Left-overs of the killed that were swept. */
  readonly leftOver: number;
}

/**
 * Lets a child keep days in `root` and kills it at a random moment, `count` times. After each kill: every case in the store is whole, no
 * acknowledged day is lost or older than it was said to be, nothing half-made is visible, and the next save clears what the child left.
 * Throws when a promise is broken. `saver` = store-saver.ts as JavaScript.
 */
export async function killSavers(count: number, root: string, saver: string, random: Random, onKill: (killed: number) => void = () => undefined): Promise<Kills> {
  const latest = new Map<string, number>();
  let acknowledged = 0;
  let leftOver = 0;
  for (let killed = 1; killed <= count; killed += 1) {
    const said = await lifeOf(root, saver, killed * 100_000, random(4) === 0 ? 1 : 2, random(LONGEST_LIFE));
    acknowledged += said.length;
    for (const [log, turn] of said) latest.set(log, Math.max(turn, latest.get(log) ?? 0));
    leftOver += (await readdir(path.join(root, '.incoming')).catch(() => [])).length;
    await expectPromisesKept(root, latest, `after kill ${killed}`);
    onKill(killed);
  }
  return { killed: count, acknowledged, leftOver };
}

async function lifeOf(root: string, saver: string, first: number, words: number, lifetime: number): Promise<readonly (readonly [log: string, turn: number])[]> {
  const child = spawn(process.execPath, [saver, root, String(first)], { stdio: ['ignore', 'pipe', 'pipe'] });
  let said = '';
  let complaint = '';
  child.stderr.on('data', (text: Buffer) => { complaint += text.toString(); });
  await new Promise<void>((resolve, reject) => {
    let isDoomed = false;
    child.stdout.on('data', (text: Buffer) => {
      said += text.toString();
      if (isDoomed || said.split('\n').length <= words) return;
      isDoomed = true;
      setTimeout(() => child.kill('SIGKILL'), lifetime);
    });
    child.on('error', reject);
    child.on('close', (code, signal) => {
      if (signal === 'SIGKILL') resolve();
      else reject(new Error(`the saver ended by itself with ${code}: ${complaint.slice(-1000)}`));
    });
  });
  /* What was cut off in the middle of a line was not said. */
  const lines = said.split('\n').slice(0, -1).filter((line) => line !== 'ready');
  return lines.map((line) => [line.split(' ')[0] ?? '', Number(line.split(' ')[1])] as const);
}

async function expectPromisesKept(root: string, latest: Map<string, number>, when: string): Promise<void> {
  const store = openStore(root);
  const { cases, damaged } = await store.list();
  if (damaged.length > 0) throw new Error(`${when}: ${damaged[0]?.folder}: ${damaged[0]?.reason}`);
  const turns = new Map<string, number>();
  for (const { id, name } of cases) turns.set(name, (await (await store.open(id)).analysis()).summary.areaHa);
  for (const [log, turn] of latest) {
    const now = turns.get(log);
    if (now === undefined || now < turn) throw new Error(`${when}: ${log} was kept with turn ${turn}, the store has ${now ?? 'none of it'}`);
  }
  await store.save({ analysis: smallDay(SWEEPER, 0), zone: 'UTC' });
  const left = await readdir(path.join(root, '.incoming'));
  if (left.length > 0) throw new Error(`${when}: ${left[0]} of a dead process was not swept`);
  /* Enough to search: with more, opening them all after each kill takes longer than the lives. */
  for (const { id, name } of cases.slice(MOST_CASES)) {
    if (!name.startsWith('new-')) continue;
    await store.remove(id);
    latest.delete(name);
  }
}
