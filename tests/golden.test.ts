import { existsSync, readFileSync, readdirSync } from 'node:fs';
import path from 'node:path';
import { describe, expect, test } from 'vitest';
import { toIso } from '../shared/clock.ts';
import { parseSetup } from '../shared/setup-file.ts';
import { analyse } from '../src/analyse.ts';
import { parseSignals } from '../src/messages/signals-file.ts';
import { readLogs } from '../src/read-logs.ts';

/* Every folder of sample-logs: its log must give what its expected.json says, and nothing louder beside it. */

const FOLDER = path.resolve(import.meta.dirname, '../sample-logs');

interface Expected {
  readonly planted: string;
  readonly findings: readonly { readonly code: string; readonly subject: string; readonly severity: string; readonly verdict: string; readonly start: string; readonly startWithin: number; readonly value: number; readonly valueWithin: number }[];
  /** `code subject` of watch findings that are no mistake. */
  readonly mayAlso: readonly string[];
}

const samples = readdirSync(FOLDER, { withFileTypes: true }).filter((entry) => entry.isDirectory()).map((entry) => entry.name);

describe.each(samples)('sample %s', (name) => {
  const place = (file: string): string => path.join(FOLDER, name, file);
  const expected = JSON.parse(readFileSync(place('expected.json'), 'utf8')) as Expected;

  test('gives the findings that were planted', async () => {
    const { setup, problems } = parseSetup(JSON.parse(readFileSync(place('setup.json'), 'utf8')));
    expect(problems).toEqual([]);
    const logs = readdirSync(path.join(FOLDER, name)).filter((file) => file.startsWith('day.')).map(place);
    const signals = existsSync(place('signals.json')) ? { signals: parseSignals(readFileSync(place('signals.json'), 'utf8'), 'signals.json') } : {};
    const analysis = analyse(await readLogs(logs, { zone: 'UTC', ...signals }), setup);
    expect(analysis.checks.filter((check) => check.status === 'failed')).toEqual([]);

    for (const one of expected.findings) {
      const found = analysis.findings.find((finding) => finding.code === one.code && finding.subject === one.subject);
      expect(found, `${one.code} ${one.subject}`).toMatchObject({ severity: one.severity, verdict: one.verdict });
      const start = analysis.day.start + (found?.span.start ?? NaN);
      expect(Math.abs(start - Date.parse(one.start) / 1000), `starts ${toIso(start)}`).toBeLessThanOrEqual(one.startWithin);
      expect(Math.abs((found?.measure?.value ?? NaN) - one.value)).toBeLessThanOrEqual(one.valueWithin);
    }
    const known = new Set([...expected.findings.map((one) => `${one.code} ${one.subject}`), ...expected.mayAlso]);
    expect(analysis.findings.filter((finding) => finding.severity !== 'info').map((finding) => `${finding.code} ${finding.subject}`).filter((finding) => !known.has(finding))).toEqual([]);
  });
});
