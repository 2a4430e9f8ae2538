import type { Day } from '../../shared/day.ts';
import type { CheckReport, Finding, Measurement, Severity } from '../../shared/finding.ts';
import type { Setup } from '../../shared/setup.ts';
import type { Episodes } from '../episodes/episodes.ts';
import type { Timeline } from '../episodes/timeline.ts';
import { createChannelLookup, type ChannelLookup } from './channel-lookup.ts';
import type { DetectorContext, DetectorMeta, DetectorOutcome, FindingDraft } from './detector.ts';

/** Any detector, whatever its sentences and thresholds: what a list of them holds. */
export interface AnyDetector {
  readonly meta: DetectorMeta<string>;
  readonly defaults: object;
  readonly detect: (context: DetectorContext<string, never>) => DetectorOutcome;
}

export interface DetectorRun {
  readonly day: Day;
  readonly setup: Setup;
  readonly timeline: Timeline;
  readonly episodes: Episodes;
  readonly detectors: readonly AnyDetector[];
}

export interface DetectorResults {
  /** Gravest first, then by hectares and kilograms concerned. */
  readonly findings: readonly Finding[];
  readonly measurements: readonly Measurement[];
  /** One per detector, in the order given. */
  readonly checks: readonly CheckReport[];
}

/** Runs every detector whose channels were logged; one that fails is reported as failed and the others go on. */
export function runDetectors(run: DetectorRun): DetectorResults {
  const lookup = createChannelLookup(run.day.channels, run.setup.machine.setAside);
  const outcomes = run.detectors.map((detector) => runOne(detector, run, lookup));
  return {
    findings: withIds(outcomes.flatMap(({ drafts }) => drafts).toSorted(byWeight)),
    measurements: outcomes.flatMap(({ measurements }) => measurements),
    checks: outcomes.map(({ check }) => check),
  };
}

interface OneOutcome {
  readonly drafts: readonly FindingDraft[];
  readonly measurements: readonly Measurement[];
  readonly check: CheckReport;
}

function runOne(detector: AnyDetector, run: DetectorRun, lookup: ChannelLookup): OneOutcome {
  const id = detector.meta.id;
  const missing = whatIsMissing(detector.meta.requires, lookup);
  if (missing !== undefined) return { drafts: [], measurements: [], check: { detector: id, status: 'not-logged', why: missing } };
  const drafts: FindingDraft[] = [];
  const measurements: Measurement[] = [];
  try {
    const outcome = detector.detect({
      channel: lookup.channel,
      channels: lookup.channels,
      timeline: run.timeline,
      episodes: run.episodes,
      setup: run.setup,
      dayStart: run.day.start,
      logs: run.day.logs,
      gaps: run.day.gaps,
      /* A list of detectors has forgotten each one's option type; these are the detector's own. */
      options: detector.defaults as never,
      say: sayer(detector.meta),
      report: (draft) => drafts.push(checked(draft, detector.meta)),
      measure: (measurement) => measurements.push(checkedMeasurement(measurement)),
    });
    return { drafts, measurements, check: { detector: id, ...statusOf(outcome, drafts) } };
  } catch (error) {
    /* What it said before it failed cannot be trusted. */
    const why = `This check stopped with an error of its own: ${error instanceof Error ? error.message : String(error)}`;
    return { drafts: [], measurements: [], check: { detector: id, status: 'failed', why } };
  }
}

function statusOf(outcome: DetectorOutcome, drafts: readonly FindingDraft[]): Pick<CheckReport, 'status' | 'why'> {
  if (outcome.status !== 'ran' && drafts.length === 0) return outcome;
  if (drafts.length === 0) return { status: 'clean', why: outcome.why ?? 'Looked, and nothing is wrong.' };
  return { status: 'found', why: outcome.why ?? (drafts.length === 1 ? 'One finding.' : `${drafts.length} findings.`) };
}

/** A sentence that names the first requirement no channel fulfils. */
function whatIsMissing(requires: readonly string[], lookup: ChannelLookup): string | undefined {
  for (const requirement of requires) {
    const globs = requirement.split('|');
    if (globs.some((glob) => lookup.channels(glob).length > 0)) continue;
    const aside = globs.flatMap(lookup.setAside);
    if (aside.length > 0) return `Needs ${inWords(globs)}; the setup sets ${aside.join(', ')} aside.`;
    return `Needs ${inWords(globs)}, which ${globs.length === 1 ? 'is not' : 'are not'} in the log.`;
  }
  return undefined;
}

const inWords = (globs: readonly string[]): string =>
  globs.map((glob) => glob.replaceAll('*', 'N')).join(' or ');

function sayer({ id, messages }: DetectorMeta<string>): DetectorContext<string, never>['say'] {
  return (message, slots = {}) => {
    const sentence = messages[message];
    if (sentence === undefined) throw new Error(`${id} has no message '${message}'.`);
    return sentence.replaceAll(/\{(\w+)\}/g, (_, slot: string) => {
      const text = slots[slot];
      if (text === undefined) throw new Error(`${id}: message '${message}' needs a value for {${slot}}.`);
      return text;
    });
  };
}

function checked(draft: FindingDraft, meta: DetectorMeta<string>): FindingDraft {
  if (!meta.codes.includes(draft.code)) throw new Error(`${meta.id} does not declare the code ${draft.code}.`);
  if (draft.evidence.length === 0) throw new Error(`${meta.id}: ${draft.code} without evidence.`);
  if (!(draft.span.start <= draft.span.end)) throw new Error(`${meta.id}: ${draft.code} without a stretch of time.`);
  if (draft.measure !== undefined && !ordered(draft.measure)) throw new Error(`${meta.id}: ${draft.code} with the measure ${JSON.stringify(draft.measure)}.`);
  return draft;
}

function checkedMeasurement(measurement: Measurement): Measurement {
  if (!ordered(measurement) || !Number.isFinite(measurement.high - measurement.low)) throw new Error(`The measurement ${JSON.stringify(measurement)} is not a number with an interval around it.`);
  return measurement;
}

const ordered = ({ value, low, high }: { readonly value: number; readonly low: number; readonly high: number }): boolean =>
  low <= value && value <= high;

const GRAVITY: Readonly<Record<Severity, number>> = { action: 0, watch: 1, info: 2 };

function byWeight(a: FindingDraft, b: FindingDraft): number {
  return GRAVITY[a.severity] - GRAVITY[b.severity]
    || (b.consequence?.areaHa ?? 0) - (a.consequence?.areaHa ?? 0)
    || Math.abs(b.consequence?.massKg ?? 0) - Math.abs(a.consequence?.massKg ?? 0)
    || a.span.start - b.span.start
    || `${a.code} ${a.subject}`.localeCompare(`${b.code} ${b.subject}`, 'en');
}

/** Code, subject and a short hash of the second it starts in: stable within a log, whatever else is found. */
function withIds(drafts: readonly FindingDraft[]): readonly Finding[] {
  const taken = new Map<string, number>();
  return drafts.map((draft) => {
    const stem = `${draft.code}-${draft.subject}-${shortHash(String(Math.round(draft.span.start)))}`;
    const count = (taken.get(stem) ?? 0) + 1;
    taken.set(stem, count);
    return { id: count === 1 ? stem : `${stem}-${count}`, ...draft };
  });
}

/** FNV-1a, 32 bit, folded to four hex digits. */
function shortHash(text: string): string {
  let hash = 0x811c9dc5;
  for (const character of text) hash = Math.imul(hash ^ (character.codePointAt(0) ?? 0), 0x01000193);
  return ((hash ^ (hash >>> 16)) & 0xffff).toString(16).padStart(4, '0');
}
