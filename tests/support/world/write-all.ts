import { mkdir, writeFile } from 'node:fs/promises';
import path from 'node:path';
import { cutWorld } from './cut.ts';
import { scenario, scenarios } from './scenario.ts';
import type { World } from './world.ts';
import { writeCandump } from './write-candump.ts';
import { writeCsv } from './write-csv.ts';

export interface DayFiles {
  readonly logs: readonly string[];
  /** signals.json, for the candump form. */
  readonly signals?: string;
  readonly setup: string;
  readonly truth: string;
}

/** Writes a day into a folder: as two CSV logs, or as one candump log. A log whose clock is wrong stays a log of its own. */
export async function writeDay(world: World, folder: string, form: 'csv' | 'candump', options: { readonly noise?: boolean } = {}): Promise<DayFiles> {
  await mkdir(folder, { recursive: true });
  const write = async (name: string, content: string | Uint8Array): Promise<string> => {
    const file = path.join(folder, name);
    await writeFile(file, content);
    return file;
  };
  const json = async (name: string, content: object): Promise<string> => write(name, `${JSON.stringify(content, null, 2)}\n`);
  const setup = await json('setup.json', world.setup);
  const truth = await json('truth.json', { ...world.truth, dayStart: new Date(world.dayStart * 1000).toISOString(), events: world.events });
  if (form === 'csv') return { logs: [await write('tractor.csv', writeCsv(world, { file: 'tractor' })), await write('cart.csv', writeCsv(world, { file: 'cart' }))], setup, truth };
  const isApart = world.clocks.cart.offset !== world.clocks.tractor.offset || world.clocks.cart.driftPerHour !== 0;
  const { log, signals } = writeCandump(world, { ...options, ...(isApart ? { file: 'tractor' as const } : {}) });
  const logs = [await write('day.log', log), ...(isApart ? [await write('cart.csv', writeCsv(world, { file: 'cart' }))] : [])];
  return { logs, signals: await json('signals.json', signals), setup, truth };
}

/** `node dist/tests/support/world/write-all.js S08 --seed 1 --out /tmp/x [--form csv|candump|both] [--cut FROM-TO seconds] [--noise]` */
async function main(words: readonly string[]): Promise<void> {
  const option = (name: string, otherwise: string): string => { const at = words.indexOf(`--${name}`); return at < 0 ? otherwise : words[at + 1] ?? otherwise; };
  const id = words[0];
  if (id === undefined || id.startsWith('--')) throw new Error(`Name a day: ${scenarios.map((s) => s.id).join(' ')}.`);
  const whole = scenario(id).build(Number(option('seed', '1')));
  const [from, to] = option('cut', '').split('-').map(Number);
  const world = from === undefined || to === undefined ? whole : cutWorld(whole, from, to);
  const form = option('form', 'both');
  const out = option('out', path.join('.', id));
  if (form !== 'candump') await writeFileOne(world, out);
  if (form !== 'csv') await writeDay(world, out, 'candump', { noise: words.includes('--noise') });
}

async function writeFileOne(world: World, out: string): Promise<void> {
  await writeDay(world, out, 'csv');
  if (world.clocks.cart.offset === 0) await writeFile(path.join(out, 'day.csv'), writeCsv(world, { file: 'one' }));
}

if (process.argv[1] !== undefined && import.meta.url.endsWith(path.basename(process.argv[1])) && path.basename(process.argv[1]).startsWith('write-all')) await main(process.argv.slice(2));
