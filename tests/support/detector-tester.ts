import { describe, expect, it } from 'vitest';
import type { Channel } from '../../shared/channel.ts';
import type { Day } from '../../shared/day.ts';
import type { CheckReport, Finding, FindingCode, Measurement, Severity, Verdict } from '../../shared/finding.ts';
import { emptySetup, type Setup } from '../../shared/setup.ts';
import { parseSetup } from '../../shared/setup-file.ts';
import { runDetectors, type AnyDetector } from '../../src/detectors/run-detectors.ts';
import { createEpisodes } from '../../src/episodes/create-episodes.ts';
import { createTimeline } from '../../src/episodes/create-timeline.ts';
import type { World } from './world/world.ts';

/** A day as a test has it: the built days of `tests/support/world` fit. */
export interface TestDay {
  readonly channels: readonly Channel[];
  /** Seconds since 1970 UTC. */
  readonly dayStart?: number;
  /** s; default: to the last sample. */
  readonly duration?: number;
  readonly setup?: Setup;
}

export interface DetectorRunResult {
  readonly findings: readonly Finding[];
  readonly measurements: readonly Measurement[];
  readonly outcome: CheckReport;
}

/** One detector over one day, exactly as the program runs it; its own errors are thrown, not reported. */
export function runDetector(detector: AnyDetector, test: TestDay): DetectorRunResult {
  const setup = test.setup ?? emptySetup;
  const day = dayOf(test);
  const timeline = createTimeline(day);
  const episodes = createEpisodes(day, setup, timeline);
  const { findings, measurements, checks } = runDetectors({ day, setup, timeline, episodes, detectors: [detector] });
  const outcome = checks[0];
  if (outcome === undefined) throw new Error(`${detector.meta.id} gave no check report.`);
  if (outcome.status === 'failed') throw new Error(outcome.why);
  return { findings, measurements, outcome };
}

/** A built day of `tests/support/world`, its setup read as the program reads it. */
export function worldDay({ channels, dayStart, duration, setup }: Pick<World, 'channels' | 'dayStart' | 'duration' | 'setup'>): TestDay {
  return { channels, dayStart, duration, setup: parseSetup(setup).setup };
}

export function dayOf({ channels, dayStart = 0, duration }: TestDay): Day {
  const last = Math.max(0, ...channels.map(({ time }) => time.at(-1) ?? 0));
  return { start: dayStart, duration: duration ?? Math.ceil(last), logs: [], channels, messages: [], gaps: [] };
}

export interface QuietCase {
  readonly name: string;
  readonly day: (seed: number) => TestDay;
  readonly seeds?: readonly number[];
  /** Codes that may appear as `info`; anything else, and anything graver, fails. */
  readonly mayInform?: readonly FindingCode[];
  readonly status?: CheckReport['status'];
}

export interface LoudCase {
  readonly name: string;
  readonly day: (seed: number) => TestDay;
  readonly seeds?: readonly number[];
  readonly code: FindingCode;
  readonly subject: string;
  /** Bounds of the measured size. */
  readonly size?: readonly [number, number];
  /** Bounds of the start and of the end, s from the day's start. */
  readonly start?: readonly [number, number];
  readonly end?: readonly [number, number];
  readonly severity?: Severity;
  readonly verdict?: Verdict;
  /** Other codes that may stand beside it; any other `watch` or `action` fails. */
  readonly beside?: readonly FindingCode[];
  /** Whatever else must hold, as complaints; none = right. */
  readonly more?: (finding: Finding, result: DetectorRunResult) => readonly string[];
}

/** The days on which a detector must stay silent, more of them than of the others, then the days on which it must say what, where and how much. */
export function testDetector(detector: AnyDetector, cases: { readonly quiet: readonly QuietCase[]; readonly loud: readonly LoudCase[] }): void {
  describe(`${detector.meta.id} keeps quiet`, () => {
    it('has more quiet cases than loud ones', () => expect(cases.quiet.length).toBeGreaterThan(cases.loud.length));
    for (const quiet of cases.quiet) {
      it.each(quiet.seeds ?? [1])(`${quiet.name}, seed %i`, (seed) => expect(quietComplaints(detector, quiet, seed)).toEqual([]));
    }
  });
  describe(`${detector.meta.id} speaks up`, () => {
    for (const loud of cases.loud) {
      it.each(loud.seeds ?? [1])(`${loud.name}, seed %i`, (seed) => expect(loudComplaints(detector, loud, seed)).toEqual([]));
    }
  });
}

function quietComplaints(detector: AnyDetector, quiet: QuietCase, seed: number): readonly string[] {
  const { findings, outcome } = runDetector(detector, quiet.day(seed));
  const disturbing = findings.filter(({ code, severity }) => severity !== 'info' || !(quiet.mayInform ?? []).includes(code));
  return [
    ...disturbing.map(inShort),
    ...(quiet.status === undefined || quiet.status === outcome.status ? [] : [`status ${outcome.status} instead of ${quiet.status}: ${outcome.why}`]),
  ];
}

function loudComplaints(detector: AnyDetector, loud: LoudCase, seed: number): readonly string[] {
  const result = runDetector(detector, loud.day(seed));
  const about = result.findings.filter(({ code, subject }) => code === loud.code && subject === loud.subject);
  const finding = about.find(({ span }) => loud.start === undefined || isWithin(span.start, loud.start)) ?? about[0];
  if (finding === undefined) return [`no ${loud.code} for ${loud.subject}; found: ${result.findings.map(inShort).join('; ')}; ${result.outcome.why}`];
  const others = result.findings.filter(({ code, severity }) => severity !== 'info' && code !== loud.code && !(loud.beside ?? []).includes(code));
  return [
    ...outside('size', finding.measure?.value ?? Number.NaN, loud.size),
    ...outside('start', finding.span.start, loud.start),
    ...outside('end', finding.span.end, loud.end),
    ...unlike('severity', finding.severity, loud.severity),
    ...unlike('verdict', finding.verdict, loud.verdict),
    ...others.map((other) => `beside it: ${inShort(other)}`),
    ...whatFindingLacks(finding),
    ...(loud.more?.(finding, result) ?? []),
  ];
}

/** What every finding owes its reader and this one does not give. */
export function whatFindingLacks(finding: Finding): readonly string[] {
  const { title, explanation, decidingCheck, evidence, channels, severity, cautions, verdict, cannotTell } = finding;
  const lacks = {
    'a title': title === '',
    'an explanation': explanation === '',
    'a deciding check': decidingCheck === '',
    'evidence': evidence.length === 0,
    'channels': channels.length === 0,
    'cautions': severity !== 'info' && cautions.length === 0,
    'what the log cannot tell': verdict !== 'proved' && cannotTell === undefined,
    'filled sentences': /\{\w+\}|undefined|NaN/.test(JSON.stringify(finding)),
  };
  return Object.entries(lacks).flatMap(([what, isLacking]) => (isLacking ? [`${finding.code} lacks ${what}`] : []));
}

const isWithin = (value: number, [low, high]: readonly [number, number]): boolean => low <= value && value <= high;

const outside = (what: string, value: number, bounds: readonly [number, number] | undefined): readonly string[] =>
  bounds === undefined || isWithin(value, bounds) ? [] : [`${what} ${value} is not within ${bounds[0]} to ${bounds[1]}`];

const unlike = (what: string, value: string, wanted: string | undefined): readonly string[] =>
  wanted === undefined || value === wanted ? [] : [`${what} is ${value}, not ${wanted}`];

const inShort = ({ code, subject, severity, measure, span }: Finding): string =>
  `${severity} ${code} ${subject} ${measure === undefined ? '' : `${measure.value.toFixed(4)} [${measure.low.toFixed(4)}, ${measure.high.toFixed(4)}] `}${Math.round(span.start)}–${Math.round(span.end)} s`;
