import { readFileSync } from 'node:fs';
import path from 'node:path';
import type { Analysis, LogSummary } from '../../../shared/day.ts';
import type { Finding } from '../../../shared/finding.ts';
import { emptySetup, type Setup } from '../../../shared/setup.ts';
import { parseSetup } from '../../../shared/setup-file.ts';
import { analyse } from '../../../src/analyse.ts';
import type { PaperSource } from '../../../src/handover/papers/papers.ts';
import { parseSignals } from '../../../src/messages/signals-file.ts';
import { readLogs } from '../../../src/read-logs.ts';
import { createDayViews } from '../../../src/views/day-views.ts';
import { scenario } from '../../support/world/scenario.ts';

const SAMPLE = path.resolve(import.meta.dirname, '../../../sample-logs/mud-in-opener');

const sourceOf = (analysis: Analysis, setup: Setup): PaperSource => ({ analysis, setup, reading: { units: 'metric', zone: 'UTC', dayStart: analysis.day.start }, views: createDayViews(analysis, setup), version: '0.0.0-test' });

/** The shipped sample, read as users read it: run 47 blocked. */
export async function sampleSource(): Promise<PaperSource> {
  const read = (name: string): string => readFileSync(path.join(SAMPLE, name), 'utf8');
  const { setup } = parseSetup(JSON.parse(read('setup.json')));
  const day = await readLogs([path.join(SAMPLE, 'day.log.gz')], { zone: 'UTC', signals: parseSignals(read('signals.json'), 'signals.json') });
  return sourceOf(analyse(day, setup), setup);
}

const made = new Map<string, PaperSource>();

/** A synthetic day, straight from memory; judged once for all tests of a file. */
export function worldSource(id: string): PaperSource {
  const known = made.get(id);
  if (known !== undefined) return known;
  const world = scenario(id).build(1);
  const { setup } = parseSetup(world.setup);
  const source = sourceOf(analyse({ start: world.dayStart, duration: world.duration, channels: world.channels, logs: [logNamed('cart.log')], messages: [], gaps: [] }, setup), setup);
  made.set(id, source);
  return source;
}

export const logNamed = (file: string): LogSummary => ({
  file, format: 'candump', sha256: '0123456789abcdef'.repeat(4), start: Number.NaN, end: Number.NaN, records: 12_345, badRecords: 2,
  bytes: { total: 1, accepted: 1, rejected: 0, ignored: 0 }, bad: [], clockOffset: 0, notes: [],
});

/** A day without channels, for papers about findings made by hand. */
export function handMade(findings: readonly Finding[], more: Partial<Omit<PaperSource, 'analysis'>> & { readonly logs?: readonly LogSummary[]; readonly analysis?: Partial<Analysis> } = {}): PaperSource {
  const { logs = [logNamed('day.log')], analysis = {}, ...rest } = more;
  const setup = rest.setup ?? emptySetup;
  const whole: Analysis = {
    day: { start: 1_900_000_000, duration: 36_000, logs, channels: [], messages: [], gaps: [] },
    summary: { areaHa: 0, workingHours: 0, products: [] }, findings, measurements: [], checks: [],
    episodes: { working: [], turning: [], parked: [], filling: [], gaps: [] }, ...analysis,
  };
  return { ...sourceOf(whole, setup), ...rest, analysis: whole };
}

export const finding = (more: Partial<Finding> = {}): Finding => ({
  id: `run.blocked-run.${more.subject ?? '7'}`, code: 'run.blocked', subject: 'run.7', severity: 'action', verdict: 'proved', title: 'Run 7 was blocked', span: { start: 3600, end: 7200 },
  episodes: [{ start: 3600, end: 7200 }], explanation: 'It counted nothing.', excludes: ['Not the sensor.'], decidingCheck: 'Look into the opener.', cautions: ['Engine off, key out.'], channels: ['run.7.count'],
  evidence: [{ kind: 'table', title: 'Counts', columns: [{ label: 'run' }], rows: [['7']] }], ...more,
});
