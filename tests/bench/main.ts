import { readingBench } from './reading.ts';

const rows = await readingBench();
const width = Math.max(...rows.map(({ what }) => what.length));
for (const { what, measured, target, isReached } of rows) {
  process.stdout.write(`${what.padEnd(width)}  ${measured.padStart(28)}  ${target.padStart(20)}  ${isReached ? 'reached' : 'MISSED'}\n`);
}
process.exitCode = rows.every(({ isReached }) => isReached) ? 0 : 1;
