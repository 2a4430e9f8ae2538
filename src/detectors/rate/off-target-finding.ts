import { formatNumber, quantity } from '../../../shared/text.ts';
import { cautions } from '../cautions.ts';
import { percent, tankName } from '../scale/wording.ts';
import type { Applied } from './applied.ts';
import { massAgainstTurns, routesTable } from './evidence.ts';
import type { RateMessage } from './messages.ts';
import { resultOf } from './per-turn.ts';
import { subjectOf, type RateCase, type RateContext } from './rate-case.ts';
import { correction, sentence } from './step-finding.ts';

type Cause = 'speed' | 'width' | 'per-turn' | 'control' | 'unknown';

/** Where a rate that is off comes from: applied ÷ ordered = (true ÷ entered kg per turn) × (turns ÷ turns ordered for the real hectares). */
export interface Decomposition {
  readonly cause: Cause;
  /** True ÷ entered kg per turn; turns × entered ÷ (ordered × real area); wheel ÷ real area. 1 where unknown. */
  readonly perTurn: number;
  readonly control: number;
  readonly wheel: number;
}

export function decompose({ day, ground }: RateCase, { perTurn, area, wheelArea, ordered, regime }: Applied, enteredWidth: number | undefined): Decomposition {
  const wheel = wheelArea === undefined || area === undefined ? 1 : wheelArea / area;
  if (day.entered === undefined || ordered === undefined || area === undefined) return { cause: 'unknown', perTurn: 1, control: 1, wheel };
  const turn = perTurn.value / day.entered;
  const control = (regime.turns * day.entered) / (ordered.rate * area);
  if (Math.abs(Math.log(turn)) >= Math.abs(Math.log(control))) return { cause: 'per-turn', perTurn: turn, control, wheel };
  /* Wheel or width explain what the meter did when they agree with it to a third of the deviation. */
  const explains = (factor: number): boolean => Math.abs(Math.log(control) - Math.log(factor)) < Math.abs(Math.log(control)) / 3;
  const width = enteredWidth === undefined || ground === undefined ? 1 : enteredWidth / ground.width;
  return { cause: explains(wheel) ? 'speed' : explains(width) ? 'width' : 'control', perTurn: turn, control, wheel };
}

/** Reports a rate that is off for certain; the cause is named, and the check that settles it. */
export function reportOffTarget(rateCase: RateCase, applied: Applied, context: RateContext): void {
  const { day, ground } = rateCase;
  const { ratio, rate, ordered, area } = applied;
  if (ratio === undefined || rate === undefined || ordered === undefined || area === undefined || ground === undefined) return;
  const { say, options } = context;
  const measured = resultOf(ratio);
  const size = Math.abs(measured.value - 1);
  const floor = Math.hypot(ratio.standardUncertainty, options.slowFloor / applied.mass.value);
  if (size - 2 * floor < options.good) return;
  const enteredWidth = context.setup.machine.workingWidth;
  const parts = decompose(rateCase, applied, enteredWidth);
  const ticketed = day.scale.tickets !== undefined && day.scale.tickets.uncertainty < 0.006;
  const unsettled = parts.cause === 'per-turn' && !ticketed;
  const isLarge = size > options.act;
  const short = applied.mass.value - ordered.rate * area;
  const side = measured.value < 1 ? 'less' : 'more';
  const went = resultOf(rate);
  const slots = {
    tank: sentence(tankName(day.track.tank)), percent: percent(size), side, applied: quantity.rate(went.value), low: quantity.rate(went.low), high: quantity.rate(went.high),
    ordered: quantity.rate(ordered.rate), turns: formatNumber(applied.regime.turns, 0), perTurn: quantity.massPerTurn(applied.perTurn.value), area: quantity.area(area, 1),
    route: ground.route === 'gnss' ? 'GNSS' : 'the wheel', width: quantity.length(ground.width, 2), enteredWidth: quantity.length(enteredWidth ?? ground.width, 2), tickets: ticketed ? say('offTickets') : '',
    wheel: percent(parts.wheel), T: percent(parts.perTurn), D: percent(parts.control), entered: quantity.massPerTurn(day.entered ?? 0), mass: quantity.mass(Math.abs(short)),
  };
  const words = WORDS[parts.cause];
  context.report({
    code: 'rate.off-target', subject: subjectOf(rateCase),
    severity: unsettled ? (isLarge ? 'watch' : 'info') : isLarge ? 'action' : 'watch',
    verdict: unsettled ? 'cannot-tell' : parts.cause === 'speed' || (parts.cause === 'per-turn' && ticketed) ? 'proved' : 'consistent',
    title: say('offTitle', slots),
    span: { start: applied.regime.start, end: applied.regime.end }, episodes: applied.regime.charges.map(({ start, end }) => ({ start, end })),
    measure: { value: measured.value, low: measured.low, high: measured.high, unit: 'ratio', expected: 1 },
    consequence: { areaHa: area / 1e4, massKg: short, text: say('offConsequence', slots) },
    ...(parts.cause === 'per-turn' && !unsettled ? { correction: correction(rateCase, applied, context) } : {}),
    explanation: say('offWhy', { ...slots, cause: say(words.why, slots) }),
    excludes: [
      ...(parts.cause === 'speed' || parts.cause === 'width' ? [say('offNotPerTurn', slots)] : []),
      ...(parts.cause === 'per-turn' && ground.route === 'gnss' && ground.wheel !== undefined && Math.abs(parts.wheel - 1) < 0.015 ? [say('offNotSpeed', slots)] : []),
      ...(parts.cause === 'per-turn' && ticketed ? [say('offNotScale')] : []),
      ...(ordered.by === 'controller' ? [say('offNotTarget')] : []),
    ],
    cannotTell: say(unsettled ? 'offCannotScale' : words.cannot),
    decidingCheck: say(words.check),
    cautions: words.cautions,
    channels: [...day.track.channels, ...ground.channels, ...(parts.cause === 'speed' ? ground.wheelChannels : [])],
    evidence: [routesTable(rateCase), massAgainstTurns(rateCase)],
  });
}

const WORDS: Readonly<Record<Cause, { readonly why: RateMessage; readonly cannot: RateMessage; readonly check: RateMessage; readonly cautions: readonly string[] }>> = {
  'speed': { why: 'offBySpeed', cannot: 'offCannotSlip', check: 'offCheckSpeed', cautions: [cautions.K9] },
  'width': { why: 'offByWidth', cannot: 'offCannotWidth', check: 'offCheckWidth', cautions: [cautions.K3] },
  'per-turn': { why: 'offByPerTurn', cannot: 'stepCannotCause', check: 'offCheckPerTurn', cautions: [cautions.K1, cautions.K4] },
  'control': { why: 'offByControl', cannot: 'offCannotControl', check: 'offCheckControl', cautions: [cautions.K1, cautions.K9] },
  'unknown': { why: 'offUnknown', cannot: 'offCannotUnknown', check: 'offCheckPerTurn', cautions: [cautions.K1, cautions.K4] },
};
