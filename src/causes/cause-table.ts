import type { Finding, FindingCode } from '../../shared/finding.ts';

/** One way in which a finding follows from another. */
export interface CauseRule {
  readonly cause: FindingCode;
  readonly follower: FindingCode;
  /** Whether this very follower is explained by this very cause; they already overlap in time. */
  readonly explains: (cause: Finding, follower: Finding) => boolean;
}

const always = (): boolean => true;
const sameSubject = (cause: Finding, follower: Finding): boolean => cause.subject === follower.subject;

/** A factor that holds all day explains no change: the cause must have begun when the follower did, within half an hour. */
const begunTogether = (cause: Finding, follower: Finding): boolean => sameSubject(cause, follower) && isNear(cause, follower);
const isNear = (cause: Finding, follower: Finding): boolean => Math.abs(cause.span.start - follower.span.start) < 1800;

/** A span set after the scale was zeroed also scales the weight of the tank itself: less span, a reading below zero when empty. */
const emptiesBelowZero = (cause: Finding, follower: Finding): boolean =>
  sameSubject(cause, follower) && cause.measure !== undefined && cause.measure.value < 1 && follower.measure === undefined;

/** A part of the drill that gave nothing for a while: most of what the tank gave too little is what is missing there. */
const mostOfTheShortfall = (cause: Finding, follower: Finding): boolean => {
  const [there, inAll] = [cause.consequence?.massKg ?? 0, follower.consequence?.massKg ?? 0];
  return there < 0 && inAll < 0 && there < 0.6 * inAll;
};

/** The two ratios are the same within both intervals and half a point (common practice, no source). */
const sameRatio = (cause: Finding, follower: Finding): boolean => {
  if (cause.measure === undefined || follower.measure === undefined) return false;
  const gap = Math.max(cause.measure.low - follower.measure.high, follower.measure.low - cause.measure.high);
  return gap <= 0.005;
};

/**
 * What follows from what (trade notes, b.8): wheel → rate, lot or roller → rate, target → rate, scale → what the scale says of
 * the rate, tank without product → low runs, delays → overlap. A follower whose size the cause does not explain stays a finding.
 */
export const causeTable: readonly CauseRule[] = [
  { cause: 'speed.calibration-off', follower: 'rate.off-target', explains: sameRatio },
  { cause: 'speed.calibration-shift', follower: 'rate.off-target', explains: sameRatio },
  { cause: 'speed.pulses-missing', follower: 'rate.off-target', explains: sameRatio },
  { cause: 'coverage.width', follower: 'rate.off-target', explains: sameRatio },
  { cause: 'rate.mass-per-turn-step', follower: 'rate.off-target', explains: sameSubject },
  { cause: 'rate.mass-per-turn-drift', follower: 'rate.off-target', explains: sameSubject },
  { cause: 'rate.target-odd', follower: 'rate.off-target', explains: (cause, follower) => sameSubject(cause, follower) && sameRatio(cause, follower) },
  { cause: 'scale.span-off', follower: 'rate.off-target', explains: sameSubject },
  { cause: 'scale.span-off', follower: 'rate.mass-per-turn-step', explains: begunTogether },
  { cause: 'scale.span-off', follower: 'scale.zero-moved', explains: emptiesBelowZero },
  { cause: 'scale.cell-lost', follower: 'rate.off-target', explains: sameSubject },
  { cause: 'scale.cell-lost', follower: 'rate.mass-per-turn-step', explains: begunTogether },
  { cause: 'scale.cell-lost', follower: 'tank.bridged', explains: sameSubject },
  { cause: 'tank.bridged', follower: 'rate.off-target', explains: sameSubject },
  { cause: 'tank.ran-out', follower: 'rate.off-target', explains: sameSubject },
  { cause: 'tank.pressure-low', follower: 'rate.mass-per-turn-step', explains: begunTogether },
  { cause: 'tank.meter-crossed', follower: 'rate.off-target', explains: always },
  { cause: 'tank.meter-crossed', follower: 'rate.mass-per-turn-step', explains: always },
  { cause: 'tank.meter-crossed', follower: 'tank.bridged', explains: always },
  { cause: 'coverage.width', follower: 'coverage.overlap', explains: always },
  { cause: 'coverage.width', follower: 'coverage.miss', explains: always },
  { cause: 'geometry.offset-side', follower: 'coverage.overlap', explains: always },
  { cause: 'geometry.offset-side', follower: 'coverage.miss', explains: always },
  { cause: 'section.delay-on', follower: 'coverage.overlap', explains: always },
  { cause: 'section.delay-off', follower: 'coverage.overlap', explains: always },
  { cause: 'section.delay-on', follower: 'coverage.miss', explains: always },
  { cause: 'section.delay-off', follower: 'coverage.miss', explains: always },
  ...(['section.stuck', 'tower.blocked', 'tower.low'] as const).flatMap((cause): CauseRule[] => [
    { cause, follower: 'rate.off-target', explains: mostOfTheShortfall },
    { cause, follower: 'rate.mass-per-turn-step', explains: (part, step) => mostOfTheShortfall(part, step) && isNear(part, step) },
  ]),
  { cause: 'section.stuck', follower: 'coverage.overlap', explains: always },
  { cause: 'section.stuck', follower: 'coverage.miss', explains: always },
];
