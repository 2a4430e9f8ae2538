import { quantity } from '../../../shared/text.ts';
import { defineDetector, type DetectorOutcome } from '../detector.ts';
import { percent, tankName } from '../scale/wording.ts';
import { appliedIn } from './applied.ts';
import { fieldMeasurements, productMeasurements } from './measurements.ts';
import { messages } from './messages.ts';
import { reportOffTarget } from './off-target-finding.ts';
import { defaults } from './options.ts';
import { productDays, type ProductDay } from './product-day.ts';
import type { RateCase, RateContext } from './rate-case.ts';
import { perTurnStory, type PerTurnStep } from './regimes.ts';
import { reportDrift, reportStep, sentence } from './step-finding.ts';
import { reportTarget, steadyTarget } from './target-finding.ts';
import { workedGround } from './worked-ground.ts';

export const rate = defineDetector({
  meta: {
    id: 'rate',
    title: 'Rate of every product',
    docs: {
      what: 'How much of every product went on a hectare, how sure that is, whether it is what was ordered, and if not, which part is off: kg per turn, distance, control or setpoint.',
      why: 'A controller that shows its own turns over its own hectares gives the target back, whatever is wrong with the wheel or with kg per turn.',
      how: 'Kilograms: what the scale loses per turn of the meter, by a line through two-minute means with their own slow wander allowed for, made true by the weigh tickets. Hectares: GNSS distance × width of the sections that were on. Products of estimates by the GUM. Steps of kg per turn are looked for at loads, drifts over the day and within loads; run counts per turn tell a lighter lot from emptier pockets.',
      fooledBy: 'A scale and a kg per turn that are wrong alike; overlap, which is counted as often as it is driven; a width entered wrong (see coverage).',
      source: 'JCGM 100 (GUM) products; ±5 % adjust-or-not from extension advice; scale in the field after trade.md f; OIML R 76 for the drift of the zero.',
    },
    codes: ['rate.off-target', 'rate.mass-per-turn-step', 'rate.mass-per-turn-drift', 'rate.target-odd'],
    /* Hectares and hours are worth giving without any scale. */
    requires: ['tank.*.mass|tank.*.cell.*|gnss.speed|gnss.lat|wheel.speed|wheel.distance|wheel.pulses'],
    messages,
  },
  defaults,
  detect: (context): DetectorOutcome => {
    const ground = workedGround(context, context.episodes);
    fieldMeasurements(ground, context);
    const all = productDays(context);
    if (all.length === 0) return { status: 'not-logged', why: context.say('noScale') };
    if (all.every(({ track }) => track.fed === undefined)) return { status: 'not-logged', why: context.say('noTurns') };
    const days = all.filter(({ track }) => (track.fed?.at(-1) ?? 0) > 0);
    for (const day of days) {
      const target = steadyTarget(day, ground);
      if (target !== undefined) reportTarget(day, days, target, context);
    }
    const cases = days.map((day) => rateCase(day, ground, context));
    const known = cases.filter((each) => each !== undefined);
    for (const each of known) report(each, known, context);
    const limits = [
      ...(ground === undefined ? [context.say('noGround')] : ground.route === 'wheel' ? [context.say('byWheelOnly')] : []),
      ...days.flatMap((day, i) => limitOf(day, cases[i], context)),
    ];
    const told = known.filter((each) => each.applied.some((applied) => isTellable(applied.mass.value, applied.ratio?.standardUncertainty, context)));
    const why = limits.join(' ');
    if (days.length === 0) return { status: 'too-little-data', why: context.say('noFeed') };
    if (told.length === 0) return { status: ground === undefined ? 'not-set-up' : 'too-little-data', why };
    return why === '' ? { status: 'ran' } : { status: 'ran', why };
  },
});

function rateCase(day: ProductDay, ground: RateCase['ground'], { timeline, options }: RateContext): RateCase | undefined {
  const story = perTurnStory(day, timeline, options.regimes);
  return story === undefined ? undefined : { day, story, ground, applied: story.regimes.map((regime) => appliedIn(day, regime, ground, timeline)) };
}

function report(rateCase: RateCase, all: readonly RateCase[], context: RateContext): void {
  const { story, applied } = rateCase;
  for (const measurement of productMeasurements(rateCase)) context.measure(measurement);
  story.steps.forEach((step, i) => {
    const after = applied[i + 1];
    if (after !== undefined) reportStep(rateCase, step, after, heldThrough(step, rateCase, all), context);
  });
  const [first] = applied;
  if (first === undefined) return;
  if (story.drift !== undefined) reportDrift(rateCase, story.drift, first, context);
  /* What follows from a step is told there; what was off before it is told here. */
  else reportOffTarget(rateCase, first, context);
}

/** Tanks whose kg per turn stayed the same through the moment of a step. */
function heldThrough({ after }: PerTurnStep, own: RateCase, all: readonly RateCase[]): readonly string[] {
  return all.filter((other) => other !== own && other.story.regimes.some((regime) => regime.start < after.start - 1800 && regime.end > after.start + 1800 && regime.line.uncertainty < 0.01 * regime.line.perTurn))
    .map(({ day }) => tankName(day.track.tank));
}

const isTellable = (mass: number, uncertainty: number | undefined, { options }: RateContext): boolean =>
  uncertainty !== undefined && 1.96 * Math.hypot(uncertainty, options.slowFloor / mass) < options.tellable;

function limitOf(day: ProductDay, rateCase: RateCase | undefined, context: RateContext): readonly string[] {
  const { say, options } = context;
  const tank = sentence(tankName(day.track.tank));
  if (rateCase === undefined) return [say('noLine', { tank })];
  if (rateCase.ground !== undefined && rateCase.applied.every(({ ordered }) => ordered === undefined)) return [say('noOrder', { tank })];
  const largest = rateCase.applied.toSorted((a, b) => b.mass.value - a.mass.value)[0];
  if (largest?.ratio === undefined || isTellable(largest.mass.value, largest.ratio.standardUncertainty, context)) return [];
  const half = 1.96 * Math.hypot(largest.ratio.standardUncertainty, options.slowFloor / largest.mass.value);
  return [say('tooLittle', { tank, mass: quantity.mass(largest.mass.value), percent: percent(half, 0) })];
}
