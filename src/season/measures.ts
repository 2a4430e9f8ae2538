import type { Measurement } from '../../shared/finding.ts';

/** What is known of a measurement beyond its number (names: contract section 8). */
export interface Measure {
  readonly name: string;
  /** A smaller change is not worth a walk: absolute in the measurement's unit, or as a share of the value. */
  readonly matters: { readonly absolute: number } | { readonly share: number };
  /** Followed from day to day through a season. */
  readonly followed: boolean;
}

/*
 * What matters is half of what the checks act on, where they act, so that a drift shows before the complaint does.
 * All of it is common practice without a source, where nothing else is said.
 */
const MEASURES: readonly Measure[] = [
  { name: 'wheel.ratio', matters: { absolute: 0.005 }, followed: true },
  { name: 'wheel.constant', matters: { share: 0.005 }, followed: false },
  { name: 'scale.span', matters: { absolute: 0.0075 }, followed: true },
  /* Half of the 5 % at which extension advice adjusts (trade.md c.5). */
  { name: 'meter.mass-per-turn', matters: { share: 0.025 }, followed: true },
  { name: 'meter.seeds-per-turn', matters: { share: 0.05 }, followed: true },
  /* About 1 m at working speed. */
  { name: 'section.on-delay', matters: { absolute: 0.3 }, followed: true },
  { name: 'section.off-delay', matters: { absolute: 0.3 }, followed: true },
  { name: 'fan.margin', matters: { absolute: 0.02 }, followed: true },
  { name: 'run.variation', matters: { absolute: 0.02 }, followed: true },
  { name: 'pass.spacing', matters: { absolute: 0.05 }, followed: false },
  { name: 'tank.load-for-area', matters: { share: 0.02 }, followed: false },
];

const byName = new Map(MEASURES.map((measure) => [measure.name, measure]));

/** Undefined for what tells of the day's work and not of the machine: areas, hours, what is left in a tank, advice. */
export const measureOf = (name: string): Measure | undefined => byName.get(name);

/** Whether a measurement is followed through a season: sections and towers are summed up in `all`. */
export function isFollowed({ name, subject }: Pick<Measurement, 'name' | 'subject'>): boolean {
  return measureOf(name)?.followed === true && !/^(?:section|tower)\./.test(subject);
}

/** The least change that matters, in the measurement's unit. */
export function mattersFrom(measure: Measure, value: number): number {
  return 'absolute' in measure.matters ? measure.matters.absolute : measure.matters.share * Math.abs(value);
}

/** Standard uncertainty of a measurement from its 95 % interval; NaN when it has no bounds. Half the width: few intervals are lopsided. */
export function uncertaintyOf({ low, high }: Pick<Measurement, 'low' | 'high'>): number {
  const half = (high - low) / 2;
  return Number.isFinite(half) && half >= 0 ? half / NORMAL_95 : Number.NaN;
}

export const NORMAL_95 = 1.959963984540054;
