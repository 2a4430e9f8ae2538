import { cpus, loadavg } from 'node:os';
import { viewerBench } from './viewer.ts';

/* `npm run bench:web`: the viewer's speed, in Debian's Chromium. */

const rows = await viewerBench((text) => process.stdout.write(`${text}\n`));
process.stdout.write(`${cpus().length} × ${cpus()[0]?.model ?? 'unknown processor'}, Node ${process.version}, load ${loadavg()[0]?.toFixed(1)}\n`);
const width = Math.max(...rows.map(({ what }) => what.length));
for (const { what, measured, target, isReached } of rows) process.stdout.write(`${what.padEnd(width)}  ${measured.padStart(16)}  ${target.padStart(16)}  ${target === '' ? '' : isReached ? 'reached' : 'MISSED'}\n`);
process.exitCode = rows.every(({ isReached }) => isReached) ? 0 : 1;
