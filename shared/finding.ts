import type { Evidence } from './evidence.ts';
import type { Span } from './span.ts';

export type Severity = 'action' | 'watch' | 'info';
/** `proved`: the data exclude the alternatives; `consistent`: it fits, others do too. */
export type Verdict = 'proved' | 'consistent' | 'cannot-tell';

/** Contract section 8. */
export type FindingCode =
  | 'speed.calibration-off' | 'speed.calibration-shift' | 'speed.pulses-missing' | 'speed.slip'
  | 'scale.span-off' | 'scale.zero-moved' | 'scale.cell-lost'
  | 'fan.below-floor' | 'fan.unsteady' | 'fan.sensor-implausible'
  | 'run.blocked' | 'run.restricted' | 'run.high' | 'run.sensor-dirty' | 'run.sensor-silent' | 'run.sensor-stuck'
  | 'tower.blocked' | 'tower.low' | 'runs.dropout'
  | 'rate.off-target' | 'rate.mass-per-turn-step' | 'rate.mass-per-turn-drift' | 'rate.target-odd'
  | 'tank.bridged' | 'tank.ran-out' | 'tank.pressure-low' | 'tank.runs-on' | 'tank.pressure-zero-off' | 'tank.meter-crossed'
  | 'section.delay-on' | 'section.delay-off' | 'section.stuck'
  | 'coverage.overlap' | 'coverage.miss' | 'coverage.width'
  | 'geometry.offset-aft' | 'geometry.offset-side'
  | 'log.clock-offset' | 'log.gap' | 'log.gnss-lost';

/** The measured size of a finding; `low`/`high` bound a 95 % interval; a number alone where the code defines none. */
export interface Measure {
  readonly value: number;
  readonly low: number;
  readonly high: number;
  readonly unit: string;
  readonly expected?: number;
}

export interface Consequence {
  /** Hectares concerned. */
  readonly areaHa?: number;
  /** Kilograms more (+) or less (−) than intended went into the ground. */
  readonly massKg?: number;
  readonly text: string;
}

export interface Correction {
  readonly setting: string;
  /** As entered in setup.json, in the form it was entered. */
  readonly old: string;
  readonly new: string;
}

/** One thing that is wrong (or worth knowing), as the detectors hand it on. Times are seconds from the day's start. */
export interface Finding {
  /** Stable within a log: code, subject and a short hash of the start. */
  readonly id: string;
  readonly code: FindingCode;
  readonly subject: string;
  readonly severity: Severity;
  readonly verdict: Verdict;
  readonly title: string;
  readonly span: Span;
  readonly episodes: readonly Span[];
  readonly measure?: Measure;
  readonly consequence?: Consequence;
  readonly correction?: Correction;
  readonly explanation: string;
  readonly excludes: readonly string[];
  readonly cannotTell?: string;
  readonly decidingCheck: string;
  readonly cautions: readonly string[];
  readonly channels: readonly string[];
  /** What follows from this cause and is therefore not a finding of its own. */
  readonly consequences?: readonly string[];
  /** Never empty. */
  readonly evidence: readonly Evidence[];
  /** Rows or areas on the ground where it happened, for the map and GeoJSON. */
  readonly places?: readonly Place[];
}

/** Part of the field in longitude/latitude degrees (WGS 84). */
export interface Place {
  readonly kind: 'line' | 'area';
  readonly coordinates: readonly (readonly [number, number])[];
  readonly text: string;
}

/** A number the day allows to be measured, finding or not (contract 8, measurement names). */
export interface Measurement {
  readonly name: string;
  readonly subject: string;
  readonly value: number;
  readonly low: number;
  readonly high: number;
  readonly unit: string;
  /** Independent units (passes, windows, fills, switchings) behind it. */
  readonly n: number;
}

export interface CheckReport {
  readonly detector: string;
  readonly status: 'clean' | 'found' | 'too-little-data' | 'not-logged' | 'not-set-up' | 'failed';
  readonly why: string;
}
