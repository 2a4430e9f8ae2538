import { bigDay } from './big-day.ts';
import { judgingBench } from './judging.ts';
import { readingBench } from './reading.ts';
import { wholePathBench } from './whole-path.ts';

/* `npm run bench`; `npm run bench -- --big` does only the 12-hour bus day, for which it makes a 2 GB log in the temporary folder. */
const rows = process.argv.includes('--big') ? await bigDay() : [...(await readingBench()), ...(await wholePathBench()), ...judgingBench()];
const width = Math.max(...rows.map(({ what }) => what.length));
for (const { what, measured, target, isReached } of rows) {
  process.stdout.write(`${what.padEnd(width)}  ${measured.padStart(28)}  ${target.padStart(20)}  ${isReached ? 'reached' : 'MISSED'}\n`);
}
process.exitCode = rows.every(({ isReached }) => isReached) ? 0 : 1;
