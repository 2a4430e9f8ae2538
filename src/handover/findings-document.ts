import { toIso } from '../../shared/clock.ts';
import type { Analysis, ProductSummary, RateStretch } from '../../shared/day.ts';
import type { Finding } from '../../shared/finding.ts';
import type { Span } from '../../shared/span.ts';
import { renderText, type Reading } from '../../shared/text.ts';

export const FINDINGS_SCHEMA = 'sowtrace/findings/1';

/**
 * Analysis → the JSON document of contract section 7, always metric and UTC. Optional parts are left out, not null;
 * its JSON Schema is shared/findings-schema.json.
 */
export function findingsDocument(analysis: Analysis): Record<string, unknown> {
  const { day } = analysis;
  const reading: Reading = { units: 'metric', zone: 'UTC', dayStart: day.start };
  return {
    schema: FINDINGS_SCHEMA,
    logs: day.logs.map((log) => ({
      file: log.file,
      format: log.format,
      sha256: log.sha256,
      ...(Number.isFinite(log.start) ? { start: toIso(log.start), end: toIso(log.end) } : {}),
      records: log.records,
      badRecords: log.badRecords,
      clockOffset: log.clockOffset,
      bytes: log.bytes,
      ...(log.notes.length > 0 ? { notes: log.notes } : {}),
    })),
    day: {
      start: toIso(day.start),
      areaHa: analysis.summary.areaHa,
      workingHours: analysis.summary.workingHours,
      products: analysis.summary.products.map((product) => productEntry(product, day.start)),
    },
    findings: analysis.findings.map((finding) => findingEntry(finding, day.start, reading)),
    measurements: analysis.measurements,
    checks: analysis.checks.map((check) => ({ ...check, why: renderText(check.why, reading) })),
  };
}

function productEntry({ fills, fields, ...product }: ProductSummary, dayStart: number): Record<string, unknown> {
  const dated = (stretches: readonly RateStretch[]): readonly object[] => stretches.map((stretch) => ({ ...stretch, start: toIso(dayStart + stretch.start), end: toIso(dayStart + stretch.end) }));
  return { ...product, ...(fills === undefined ? {} : { fills: dated(fills) }), ...(fields === undefined ? {} : { fields: dated(fields) }) };
}

function findingEntry(finding: Finding, dayStart: number, reading: Reading): Record<string, unknown> {
  const say = (text: string): string => renderText(text, reading);
  const iso = (span: Span): { start: string; end: string } => ({ start: toIso(dayStart + span.start), end: toIso(dayStart + span.end) });
  return {
    id: finding.id,
    code: finding.code,
    subject: finding.subject,
    severity: finding.severity,
    verdict: finding.verdict,
    title: say(finding.title),
    ...iso(finding.span),
    episodes: finding.episodes.map(iso),
    ...(finding.measure === undefined ? {} : { measure: finding.measure }),
    ...(finding.consequence === undefined ? {} : { consequence: { ...finding.consequence, text: say(finding.consequence.text) } }),
    ...(finding.correction === undefined ? {} : { correction: finding.correction }),
    explanation: say(finding.explanation),
    excludes: finding.excludes.map(say),
    ...(finding.cannotTell === undefined ? {} : { cannotTell: say(finding.cannotTell) }),
    decidingCheck: say(finding.decidingCheck),
    cautions: finding.cautions.map(say),
    channels: finding.channels,
    ...(finding.consequences === undefined || finding.consequences.length === 0 ? {} : { follows: finding.consequences.map(say) }),
    ...(finding.places === undefined || finding.places.length === 0 ? {} : { places: finding.places.map((place) => ({ ...place, text: say(place.text) })) }),
  };
}
