import { mkdir, writeFile } from 'node:fs/promises';
import path from 'node:path';
import { gzipSync } from 'node:zlib';
import { cutWorld } from './world/cut.ts';
import { scenario } from './world/scenario.ts';
import { writeCandump } from './world/write-candump.ts';
import { writeCsv } from './world/write-csv.ts';

/* npm run samples: makes the logs in sample-logs/ anew from the synthetic farm; expected.json beside them is kept by hand. */

const ROOT = path.resolve(import.meta.dirname, '../../..');

interface Sample {
  readonly folder: string;
  readonly day: string;
  readonly seed: number;
  /** Seconds from the day's start. */
  readonly from: number;
  readonly to: number;
  readonly form: 'candump' | 'csv';
}

const samples: readonly Sample[] = [
  /* S08 starts at 07:40: 10:28 to 10:52, with the drill stuck from 10:38 and run 47 gone from 10:42:31 */
  { folder: 'mud-in-opener', day: 'S08', seed: 1, from: 10_080, to: 11_520, form: 'candump' },
  /* twenty minutes of seeding with nothing wrong */
  { folder: 'clean-morning', day: 'C0', seed: 3, from: 7200, to: 8400, form: 'csv' },
];

for (const sample of samples) {
  const world = cutWorld(scenario(sample.day).build(sample.seed), sample.from, sample.to);
  const folder = path.join(ROOT, 'sample-logs', sample.folder);
  await mkdir(folder, { recursive: true });
  const json = async (name: string, content: object): Promise<void> => writeFile(path.join(folder, name), `${JSON.stringify(content, undefined, 2)}\n`);
  if (sample.form === 'candump') {
    const { log, signals } = writeCandump(world);
    await writeFile(path.join(folder, 'day.log.gz'), gzipSync(log, { level: 9 }));
    await json('signals.json', signals);
  } else await writeFile(path.join(folder, 'day.csv.gz'), gzipSync(writeCsv(world, { file: 'one' }), { level: 9 }));
  await json('setup.json', world.setup);
}
