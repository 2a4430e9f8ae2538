import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { expect, test } from 'vitest';
import type { Finding } from '../shared/finding.ts';
import { parseSetup } from '../shared/setup-file.ts';
import { analyse } from '../src/analyse.ts';
import { parseSignals } from '../src/messages/signals-file.ts';
import { readLogs } from '../src/read-logs.ts';
import { scenario } from './support/world/scenario.ts';
import { writeDay } from './support/world/write-all.ts';

/* The same day given as CSV and as candump + signals.json: same codes, same subjects, values inside each other's intervals. */

async function findingsOf(id: string, form: 'csv' | 'candump'): Promise<readonly Finding[]> {
  const world = scenario(id).build(2);
  const folder = await mkdtemp(path.join(tmpdir(), 'sowtrace-same-'));
  try {
    const files = await writeDay(world, folder, form);
    const signals = files.signals === undefined ? {} : { signals: parseSignals(await readFile(files.signals, 'utf8'), 'signals.json') };
    return analyse(await readLogs(files.logs, { zone: 'UTC', ...signals }), parseSetup(world.setup).setup).findings;
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}

const nameOf = (finding: Finding): string => `${finding.severity} ${finding.code} ${finding.subject}`;

test.each(['S01', 'S08'])('%s as CSV and as candump', async (id) => {
  const [csv, candump] = await Promise.all([findingsOf(id, 'csv'), findingsOf(id, 'candump')]);
  expect(csv.length).toBeGreaterThan(0);
  expect(csv.map(nameOf).sort()).toEqual(candump.map(nameOf).sort());
  for (const one of csv) {
    const other = candump.find((finding) => nameOf(finding) === nameOf(one));
    if (one.measure === undefined || other?.measure === undefined) continue;
    expect(other.measure.value, nameOf(one)).toBeGreaterThanOrEqual(one.measure.low);
    expect(other.measure.value, nameOf(one)).toBeLessThanOrEqual(one.measure.high);
  }
}, 120_000);
