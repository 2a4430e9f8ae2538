import type { Channel } from '../../shared/channel.ts';
import type { Day } from '../../shared/day.ts';
import type { Finding, FindingCode, Measurement } from '../../shared/finding.ts';
import type { Setup } from '../../shared/setup.ts';
import type { Episodes } from '../episodes/episodes.ts';
import type { Timeline } from '../episodes/timeline.ts';

/**
 * A detector is metadata plus one function. It declares its inputs, the runner checks them, so that 'found nothing'
 * and 'could not look' never mix. `M` are the ids of its sentences, `O` its thresholds.
 */
export interface DetectorDefinition<M extends string, O extends object> {
  readonly meta: DetectorMeta<M>;
  /** Thresholds in named units, each with its source in a comment. */
  readonly defaults: O;
  readonly detect: (context: DetectorContext<M, O>) => DetectorOutcome;
}

export interface DetectorMeta<M extends string> {
  readonly id: string;
  readonly title: string;
  readonly docs: {
    readonly what: string;
    readonly why: string;
    readonly how: string;
    readonly fooledBy: string;
    /** Standards, handbooks or 'common practice, no source'. */
    readonly source: string;
  };
  /** Finding codes it may report. */
  readonly codes: readonly FindingCode[];
  /** Channel globs, all needed: `['wheel.speed|wheel.distance|wheel.pulses', 'gnss.speed']`; `|` = one of these. */
  readonly requires: readonly string[];
  /** All its sentences, with `{slot}` where a quantity goes. */
  readonly messages: Readonly<Record<M, string>>;
}

export interface DetectorContext<M extends string, O extends object> {
  /** The most trusted channel of that name. */
  readonly channel: (id: string) => Channel | undefined;
  /** Channels whose id matches a glob (`run.*.count`), one per id, in natural order of their numbers. */
  readonly channels: (glob: string) => readonly Channel[];
  readonly timeline: Timeline;
  readonly episodes: Episodes;
  readonly setup: Setup;
  /** Seconds since 1970 UTC of the day's second 0 (to place tickets). */
  readonly dayStart: number;
  /** The logs as read, and the stretches in which one of them holds no record. */
  readonly logs: Day['logs'];
  readonly gaps: Day['gaps'];
  readonly options: O;
  /** A sentence by id with its slots filled; throws when a slot is missing (our bug). Quantities as tokens of shared/text.ts. */
  readonly say: (message: M, slots?: Readonly<Record<string, string>>) => string;
  readonly report: (finding: FindingDraft) => void;
  readonly measure: (measurement: Measurement) => void;
}

/** A finding before the runner gives it its id. */
export type FindingDraft = Omit<Finding, 'id'>;

export type DetectorOutcome =
  | { readonly status: 'ran'; readonly why?: string }
  | { readonly status: 'too-little-data' | 'not-logged' | 'not-set-up'; readonly why: string };

/** Keeps the message ids and options of a definition checked against each other. */
export function defineDetector<const M extends string, O extends object>(definition: DetectorDefinition<M, O>): DetectorDefinition<M, O> {
  return definition;
}
