import { parseSetup } from '../../shared/setup-file.ts';
import type { CaseListing, CaseReadings } from '../../shared/case.ts';
import type { Analysis, Day } from '../../shared/day.ts';
import type { Evidence } from '../../shared/evidence.ts';
import type { Finding } from '../../shared/finding.ts';
import { calendarDay, caseId, isDated } from './case-place.ts';
import { findingsTable, measurementsTable } from './case-tables.ts';
import { encodeChannels, type StoredChannel } from './channel-files.ts';
import { exactJson, parseExactJson } from './exact-json.ts';

/** A judged day that is to be kept. */
export interface CaseInput {
  readonly analysis: Analysis;
  /** setup.json as given. */
  readonly setup?: string;
  /** IANA zone of the day. */
  readonly zone: string;
  /** Tells apart what else the day was read with (signals, columns); kept to compare, see `Store.madeWith`. */
  readonly madeWith?: string;
}

/** What the store is told from outside, because it may not ask for it. */
export interface CaseWords {
  /** Version of Sowtrace. */
  readonly version: string;
  /** The JSON document of contract 7. */
  readonly findingsDocument: (analysis: Analysis) => Readonly<Record<string, unknown>>;
}

export const READINGS = 'readings.json';
export const ANALYSIS = 'analysis.json';
export const SETUP = 'setup.json';
export const MEASUREMENTS = 'measurements.parquet';
export const FINDINGS = 'findings.parquet';

/** Everything of a case but its samples and what READINGS holds; evidence in the order of the findings. */
interface StoredAnalysis {
  readonly day: Omit<Day, 'channels'>;
  readonly channels: readonly StoredChannel[];
  readonly episodes: Analysis['episodes'];
  readonly evidence: readonly (readonly Evidence[])[];
}

export function listingOf({ analysis, setup, zone }: CaseInput, version: string, savedAt: number): CaseListing {
  const { day, findings } = analysis;
  const logs = day.logs.filter(({ sha256 }, i) => day.logs.findIndex((other) => other.sha256 === sha256) === i);
  const count = (severity: Finding['severity']): number => findings.filter((finding) => finding.severity === severity).length;
  return {
    id: caseId(logs.map(({ sha256 }) => sha256)),
    machine: machineOf(setup) ?? 'unnamed',
    date: calendarDay(day, zone),
    zone,
    name: logs.map(({ file }) => file).join(' + '),
    logs: logs.map(({ file, sha256, format }) => ({ file, sha256, format })),
    start: day.start,
    duration: day.duration,
    savedAt,
    version,
    actions: count('action'),
    watches: count('watch'),
  };
}

function machineOf(setup: string | undefined): string | undefined {
  if (setup === undefined) return undefined;
  try {
    const name = parseSetup(JSON.parse(setup.replace(/^\uFEFF/, ''))).setup.machine.name?.trim();
    return name === '' ? undefined : name;
  } catch {
    return undefined;
  }
}

/** A judged day → the files of its case, but the manifest. */
export function caseFiles({ analysis, setup }: CaseInput, { findingsDocument }: CaseWords): ReadonlyMap<string, Uint8Array> {
  const { day: { channels, ...day }, findings, measurements, checks, summary, episodes } = analysis;
  const stored = encodeChannels(channels, day.start);
  const start = isDated(analysis.day) ? day.start : Number.NaN;
  const whole: StoredAnalysis = { day, channels: stored.channels, episodes, evidence: findings.map(({ evidence }) => evidence) };
  const readings: Omit<CaseReadings, 'listing'> = { summary, measurements, findings: findings.map(withoutEvidence), checks };
  return new Map([
    [READINGS, utf8(exactJson(readings))],
    [ANALYSIS, utf8(exactJson(whole))],
    ...(setup === undefined ? [] : [[SETUP, utf8(setup)] as const]),
    ['findings.json', utf8(`${JSON.stringify(findingsDocument(analysis), undefined, 2)}\n`)],
    [MEASUREMENTS, measurementsTable(measurements, start)],
    [FINDINGS, findingsTable(findings, start)],
    ...stored.files,
  ]);
}

function withoutEvidence(finding: Finding): Omit<Finding, 'evidence'> {
  const { evidence: _, ...rest } = finding;
  return rest;
}

/** A kept day without its samples. */
export interface KeptDay {
  readonly readings: Omit<Analysis, 'day'>;
  readonly day: Omit<Day, 'channels'>;
  readonly channels: readonly StoredChannel[];
}

/** The way back, from bytes already verified. */
export function keptDayFrom(bytes: (file: string) => Uint8Array): KeptDay {
  const { day, channels, episodes, evidence } = parseExactJson(text(bytes(ANALYSIS))) as StoredAnalysis;
  const { findings, ...rest } = readingsFrom(bytes(READINGS));
  return { day, channels, readings: { ...rest, episodes, findings: findings.map((finding, i) => ({ ...finding, evidence: evidence[i] ?? [] })) } };
}

export function readingsFrom(bytes: Uint8Array): Omit<CaseReadings, 'listing'> {
  return parseExactJson(text(bytes)) as Omit<CaseReadings, 'listing'>;
}

export const utf8 = (words: string): Uint8Array => new TextEncoder().encode(words);
export const text = (bytes: Uint8Array): string => new TextDecoder('utf-8', { ignoreBOM: true }).decode(bytes);
