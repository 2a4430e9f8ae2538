import { readFileSync } from 'node:fs';
import path from 'node:path';
import { expect, test } from 'vitest';
import type { EvidenceSeries } from '../../../shared/evidence.ts';
import { traceChart } from '../../../src/handover/papers/pictures/trace-chart.ts';

const CSS = readFileSync(path.resolve(import.meta.dirname, '../../../web/base.css'), 'utf8');
const PLOT_LINES = readFileSync(path.resolve(import.meta.dirname, '../../../web/panels/evidence/plot-lines.ts'), 'utf8');

/** The light colour that the viewer gives a role. */
function onScreen(role: string): string {
  const name = new RegExp(`${role}: '(--[\\w-]+)'`).exec(PLOT_LINES)?.[1] ?? 'none';
  return new RegExp(`${name}: (#[0-9a-f]{6})`).exec(CSS)?.[1] ?? 'none';
}

test('a finding’s subject and its witness have the colours of the viewer, on paper too', () => {
  const series = (label: string, role: EvidenceSeries['role']): EvidenceSeries => ({ label, role, style: 'line', x: [0, 1], y: [1, 2] });
  const { markup } = traceChart({ kind: 'trace', title: 't', unit: '1/s', span: { start: 0, end: 1 }, shaded: [], levels: [], series: [series('run 47', 'subject'), series('mean of mates', 'witness')] }, { units: 'metric', zone: 'UTC', dayStart: 0 });
  expect([...markup.matchAll(/<path d="M[^"]*" fill="none" stroke="(#\w+)"/g)].map((match) => match[1]).slice(0, 2)).toEqual([onScreen('subject'), onScreen('witness')]);
  expect(onScreen('subject')).toMatch(/^#/);
});
