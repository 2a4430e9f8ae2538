import { analyse } from '../../src/analyse.ts';
import { readLogs } from '../../src/read-logs.ts';
import { parseSignals } from '../../src/messages/signals-file.ts';
import { parseSetup } from '../../shared/setup-file.ts';
import { scenarios, type World } from '../support/world/scenario.ts';
import { buildWorld } from '../support/world/simulate.ts';
import { writeDay } from '../support/world/write-all.ts';
import { printClean } from './clean.ts';
import { printCoverage } from './coverage.ts';
import { printLatency } from './latency.ts';
import { scoreDay, type DayScore } from './score-day.ts';
import { unseenDay } from './unseen.ts';
import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';

/*
 * npm run score [-- ID…] [--seeds N] [--first SEED] [--form memory|csv|candump]: every scenario against its truth, as a table.
 * npm run score -- --coverage [--seeds 200]: do intervals hold what they promise.
 * npm run score -- --clean 50: findings on days with nothing wrong.
 * npm run score -- --unseen 50 [--from 1]: days with one to three faults drawn at random, each number another day.
 * npm run score -- --latency [--seeds 400]: how soon a loss on one run is seen.
 */

const words = process.argv.slice(2);
const option = (name: string, otherwise: string): string => {
  const at = words.indexOf(`--${name}`);
  return at < 0 ? otherwise : (words[at + 1] ?? otherwise);
};
if (words.includes('--latency')) process.exit(printLatency(Number(option('seeds', '400'))) ? 0 : 1);
if (words.includes('--clean')) process.exit((await printClean(Number(option('clean', '50')), async (plan, seed) => (await analysisOf(buildWorld(plan, seed), 'memory')).findings)) ? 0 : 1);
if (words.includes('--coverage')) process.exit(printCoverage(Number(option('seeds', '200')), option('only', '')) ? 0 : 1);
if (words.includes('--unseen')) process.exit((await printUnseen(Number(option('from', '1')), Number(option('unseen', '50')))) ? 0 : 1);
const wanted = words.filter((word, index) => !word.startsWith('--') && !(words[index - 1] ?? '').startsWith('--'));
const seeds = Number(option('seeds', '5'));
const first = Number(option('first', '1'));
const forms = option('form', 'csv,candump').split(',');

async function analysisOf(world: World, form: string): Promise<ReturnType<typeof analyse>> {
  const { setup, problems } = parseSetup(world.setup);
  if (problems[0] !== undefined) throw new Error(problems[0].message);
  if (form === 'memory') {
    return analyse({ start: world.dayStart, duration: world.duration, channels: world.channels, logs: [], messages: [], gaps: [] }, setup);
  }
  const folder = await mkdtemp(path.join(tmpdir(), 'sowtrace-score-'));
  try {
    const files = await writeDay(world, folder, form === 'csv' ? 'csv' : 'candump');
    const signals = files.signals === undefined ? {} : { signals: parseSignals(await readFile(files.signals, 'utf8'), files.signals) };
    return analyse(await readLogs(files.logs, { zone: 'UTC', ...signals }), setup);
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}

async function printUnseen(from: number, days: number): Promise<boolean> {
  let right = 0;
  for (let seed = from; seed < from + days; seed++) {
    const plan = unseenDay(seed);
    const world = buildWorld(plan, seed);
    const row: Row = { id: plan.id, form: 'memory', found: 0, of: 0, passed: 0, worst: [], falseFindings: 0, trapped: 0, infos: 0, seconds: 0 };
    count(row, scoreDay(await analysisOf(world, 'memory'), world.truth), seed);
    right += row.passed;
    console.log(`${row.passed === 1 ? 'ok ' : 'NO '} ${plan.id.padEnd(6)} ${plan.title}`);
    for (const line of row.worst) console.log(`      ${line}`);
  }
  console.log(`${right} of ${days} drawn days right`);
  return right === days;
}

interface Row { id: string; form: string; found: number; of: number; passed: number; worst: string[]; falseFindings: number; trapped: number; infos: number; seconds: number }

const rows: Row[] = [];
for (const scenario of scenarios) {
  if (wanted.length > 0 && !wanted.includes(scenario.id)) continue;
  for (const form of forms) {
    const row: Row = { id: scenario.id, form, found: 0, of: 0, passed: 0, worst: [], falseFindings: 0, trapped: 0, infos: 0, seconds: 0 };
    for (let seed = first; seed < first + seeds; seed++) {
      const world = scenario.build(seed);
      /* Channels in memory share one clock: nothing to be found about clocks. */
      const truth = form === 'memory' ? { ...world.truth, expected: world.truth.expected.filter(({ codes }) => !codes.includes('log.clock-offset')) } : world.truth;
      const started = performance.now();
      const score = scoreDay(await analysisOf(world, form), truth);
      row.seconds += (performance.now() - started) / 1000;
      count(row, score, seed);
    }
    rows.push(row);
    print(row);
  }
}
const failed = rows.reduce((sum, row) => sum + (seeds - row.passed), 0);
console.log(`${rows.length * seeds - failed} days right, ${failed} not`);
process.exitCode = failed === 0 ? 0 : 1;

function count(row: Row, score: DayScore, seed: number): void {
  row.of += score.expected.length;
  row.found += score.expected.filter((entry) => entry.wrong.length === 0).length;
  row.passed += score.passed ? 1 : 0;
  row.falseFindings += score.falseFindings.length;
  row.trapped += score.trapped.length;
  row.infos = Math.max(row.infos, score.infos);
  for (const entry of score.expected) if (entry.wrong.length > 0) row.worst.push(`seed ${seed}: ${entry.expected.codes.join('|')} ${entry.expected.subject}: ${entry.wrong.join('; ')}`);
  for (const finding of score.falseFindings) row.worst.push(`seed ${seed}: false ${finding.severity} ${finding.code} ${finding.subject} ${finding.measure?.value.toPrecision(4) ?? ''}`);
  for (const finding of score.trapped) row.worst.push(`seed ${seed}: trap ${finding.severity} ${finding.code} ${finding.subject} ${finding.measure?.value.toPrecision(4) ?? ''}`);
}

function print(row: Row): void {
  const mark = row.passed === seeds ? 'ok ' : 'NO ';
  console.log(`${mark} ${row.id.padEnd(14)} ${row.form.padEnd(8)} found ${row.found}/${row.of}  days ${row.passed}/${seeds}  false ${row.falseFindings}  traps ${row.trapped}  info ≤ ${row.infos}  ${(row.seconds / seeds).toFixed(2)} s/day`);
  for (const line of row.worst) console.log(`      ${line}`);
}
