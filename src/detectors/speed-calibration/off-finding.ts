import type { Consequence, Finding } from '../../../shared/finding.ts';
import { quantity } from '../../../shared/text.ts';
import { formatWheelConstant } from '../../../shared/wheel-constant.ts';
import { cautions } from '../cautions.ts';
import type { FindingDraft } from '../detector.ts';
import { asDirection, asPercent, asRatio, type SpeedCase, type SpeedContext } from './context.ts';
import { ratioEvidence } from './evidence.ts';
import { misreadingsIn, rateEffect, type RateEffect } from './rate-effect.ts';
import type { RatioEstimate } from './ratio-estimate.ts';

/** The wheel reads wrong from the start: over the whole day, or until it changed. */
export function offFinding(context: SpeedContext, subject: SpeedCase, estimate: RatioEstimate): FindingDraft {
  const { say, options } = context;
  const { story, way } = subject;
  const { lifted, shifts, firstSpan } = story;
  const ratio = Math.exp(estimate.logRatio);
  const percent = asPercent(estimate.logRatio);
  const direction = asDirection(estimate.logRatio);
  const agrees = lifted !== undefined && Math.abs(lifted.logRatio - estimate.logRatio) < options.limit;
  const liftedIsOff = lifted !== undefined && agrees && (lifted.low > options.limit || lifted.high < -options.limit);
  const doubtful = Math.abs(subject.controllerOff) > options.limit;
  const effect = rateEffect(context, misreadingsIn(firstSpan, estimate.logRatio, story.slips), subject.ground.speed, story.windows);
  /* A part of the day read lower and did not come back: no steady error, and perhaps the ground's. */
  const changesByPlace = story.slips.some(({ returned }) => !returned);
  const patches = story.slips.filter(({ returned }) => returned);
  const explanation = [
    say('offWhy', { time: quantity.duration(story.seconds), ratio: asRatio(estimate.logRatio), low: asRatio(estimate.low), high: asRatio(estimate.high) }),
    ...(changesByPlace ? [] : [say('offFromStart', { clock: quantity.clock(firstSpan.start) })]),
    ...(lifted === undefined ? [] : [say(agrees ? 'offLiftedToo' : 'offLiftedNot', { ratio: asRatio(lifted.logRatio), low: asRatio(lifted.low), high: asRatio(lifted.high) })]),
    ...(patches.length === 0 ? [] : [say('offSlip', { spans: patches.map(({ start, end }) => `${quantity.clock(start)} to ${quantity.clock(end)}`).join(', ') })]),
    ...(shifts.length === 0 ? [] : [say('offUntil', { clock: quantity.clock(firstSpan.end) })]),
    ...(doubtful ? [say('offController', { percent: asPercent(subject.controllerOff) })] : []),
  ].join(' ');
  return {
    code: 'speed.calibration-off',
    subject: 'wheel',
    severity: doubtful || changesByPlace || cameRight(subject) ? 'watch' : 'action',
    verdict: liftedIsOff && !doubtful ? 'proved' : 'consistent',
    title: say('offTitle', { percent, direction }),
    span: firstSpan,
    episodes: [firstSpan],
    measure: { value: ratio, low: Math.exp(estimate.low), high: Math.exp(estimate.high), unit: 'ratio', expected: 1 },
    consequence: effectText(say, effect, ratio, percent),
    ...(way.constant === undefined || shifts.length > 0 ? {} : { correction: correctionOf(say, way.constant, ratio) }),
    explanation,
    excludes: [
      ...(liftedIsOff ? [say('notSlip')] : estimate.low > options.limit ? [say('notTowed')] : []),
      say('notTurns'),
      say('notLate', { lag: quantity.duration(Math.max(0, story.lag), 1) }),
    ],
    cannotTell: liftedIsOff ? say('cannotWhy') : estimate.logRatio > 0 ? say('cannotHigh') : say('cannotSlip', { direction }),
    decidingCheck: say(liftedIsOff ? 'checkTape' : 'checkTyre'),
    cautions: [cautions.K9, cautions.K1],
    channels: subject.channels,
    consequences: [say('followsArea', { percent, direction }), ...(effect.follows === 'gnss' ? [] : [say('followsRate')])],
    evidence: ratioEvidence(context, story, [{ ...firstSpan, estimate }, ...shifts.map(({ time, after, is }) => ({ start: time, end: after.end, estimate: is }))], patches),
  };
}

/** The last level of the day is within the limit: what was wrong has been put right. */
const cameRight = ({ story }: SpeedCase): boolean => {
  const last = story.shifts.at(-1);
  return last !== undefined && Math.abs(last.is.logRatio) < 0.01;
};

/** Pulses per metre: a wheel that claims 6.4 % too much gets a constant 6.4 % larger; m per pulse gets the inverse. */
export function correctionOf(say: SpeedContext['say'], constant: NonNullable<SpeedCase['way']['constant']>, ratio: number): NonNullable<Finding['correction']> {
  return { setting: say('settingConstant'), old: constant.entered, new: formatWheelConstant(constant.pulsesPerMetre * ratio, constant) };
}

/** What the misreading did to area and rate, in numbers where the setup allows them. */
export function effectText(say: SpeedContext['say'], effect: RateEffect, ratio: number, percent: string): Consequence {
  const { area, mass, ordered, applied, follows } = effect;
  if (area === undefined) return { text: say('costUnknown', { percent }) };
  const areaHa = area / 1e4;
  const worked = quantity.area(area, 1);
  if (follows === 'gnss') return { areaHa, massKg: 0, text: say('costGnss') };
  if (mass === undefined || ordered === undefined || applied === undefined) return { areaHa, text: say('costArea', { area: worked, percent }) };
  return {
    areaHa,
    massKg: mass,
    text: say(follows === 'wheel' ? 'costMass' : 'costMassIf', {
      area: worked, ordered: quantity.rate(ordered), applied: quantity.rate(applied),
      mass: quantity.mass(Math.abs(mass)), moreOrLess: ratio > 1 ? 'more' : 'less',
    }),
  };
}
