import { formatNumber, quantity } from '../../../shared/text.ts';
import { cautions } from '../cautions.ts';
import { percent, tankName } from '../scale/wording.ts';
import type { Applied } from './applied.ts';
import { countRatio } from './count-track.ts';
import { massAgainstTurns, perTurnTrace, routesTable } from './evidence.ts';
import { resultOf } from './per-turn.ts';
import { subjectOf, type RateCase, type RateContext } from './rate-case.ts';
import type { PerTurnDrift, PerTurnStep } from './regimes.ts';

/** kg per turn is another since a load. `others` are the tanks whose kg per turn held through the same moment. */
export function reportStep(rateCase: RateCase, step: PerTurnStep, applied: Applied, others: readonly string[], context: RateContext): void {
  const { day } = rateCase;
  const { say, options } = context;
  const counts = day.counts === undefined || day.track.feed === undefined ? undefined
    : countRatio(day.counts, day.track.feed, step.before.charges.flatMap(({ stretches }) => stretches), step.after.charges.flatMap(({ stretches }) => stretches));
  /* Seeds per turn that fall along with the weight mean emptier pockets; within a third of the change they did not fall. */
  const fewer = counts !== undefined && step.ratio < 1 && Math.log(counts.ratio) < Math.log(step.ratio) / 2;
  const size = Math.abs(step.ratio - 1);
  const ticketed = ticketsAround(day, step);
  const rate = applied.rate === undefined ? undefined : resultOf(applied.rate);
  const short = applied.area === undefined || applied.ordered === undefined ? (step.after.line.perTurn - step.before.line.perTurn) * step.after.turns : applied.mass.value - applied.ordered.rate * applied.area;
  const side = step.ratio < 1 ? 'less' : 'more';
  const load = context.episodes.fills(day.track.tank.id).find((fill) => fill.start <= step.after.start && step.after.start <= fill.end);
  const start = load?.start ?? step.after.start;
  const seeds = counts === undefined ? '' : percent(counts.ratio);
  const isLot = counts !== undefined && !fewer;
  context.report({
    code: 'rate.mass-per-turn-step', subject: subjectOf(rateCase),
    severity: size > options.act ? 'action' : 'watch',
    verdict: isLot && (ticketed || others.length > 0) ? 'proved' : 'consistent',
    title: say('stepTitle', { tank: sentence(tankName(day.track.tank)), percent: percent(size), side, clock: quantity.clock(start) }),
    span: { start, end: step.after.end }, episodes: [{ start, end: step.after.end }],
    measure: { value: step.ratio, low: step.low, high: step.high, unit: 'ratio', expected: 1 },
    consequence: {
      ...(applied.area === undefined ? {} : { areaHa: applied.area / 1e4 }), massKg: short,
      text: rate === undefined ? say('stepMass', { mass: quantity.mass(Math.abs(short)), side: short < 0 ? 'less' : 'more' }).trim() : say('stepConsequence', {
        applied: quantity.rate(rate.value), low: quantity.rate(rate.low), high: quantity.rate(rate.high), area: quantity.area(applied.area ?? 0, 1),
        ordered: applied.ordered === undefined ? '' : say('stepOrdered', { rate: quantity.rate(applied.ordered.rate) }),
        mass: say('stepMass', { mass: quantity.mass(Math.abs(short)), side: short < 0 ? 'less' : 'more' }),
        seeds: isLot ? say('stepSeeds', { seeds }) : '',
      }),
    },
    ...(day.entered === undefined ? {} : { correction: correction(rateCase, applied, context) }),
    explanation: say('stepWhy', {
      clock: quantity.clock(start), before: quantity.massPerTurn(step.before.line.perTurn), after: quantity.massPerTurn(step.after.line.perTurn),
      ratio: formatNumber(step.ratio, 3), low: formatNumber(step.low, 3), high: formatNumber(step.high, 3), turns: formatNumber(step.after.turns, 0),
      counts: counts === undefined ? say('stepUncounted') : say(fewer ? 'stepFewer' : step.ratio < 1 ? 'stepLighter' : 'stepHeavier', { seeds }),
      tickets: ticketed ? say('stepTickets') : '',
      others: others.length === 0 ? '' : say('stepOthers', { tanks: sentence(others.join(', ')) }),
    }).trim(),
    excludes: [...(ticketed || others.length > 0 ? [say('stepNotScale')] : []), say('stepNotBridge'), say('stepNotWheel')],
    cannotTell: say(isLot ? 'stepCannotLot' : 'stepCannotCause'),
    decidingCheck: say(fewer ? 'stepCheckPressure' : 'stepCheckLot'),
    cautions: [cautions.K1, cautions.K4, ...(fewer ? [cautions.K7] : [])],
    channels: [...day.track.channels, ...(counts === undefined ? [] : ['run.*.count'])],
    evidence: [perTurnTrace(rateCase), massAgainstTurns(rateCase), routesTable(rateCase)],
  });
}

/** Loads on both sides were weighed elsewhere, and the scale agreed with them. */
function ticketsAround({ story, scale }: RateCase['day'], { after }: PerTurnStep): boolean {
  const { matched } = story.books;
  const sides = [matched.some(({ fills }) => fills.some(({ end }) => end <= after.start)), matched.some(({ fills }) => fills.some(({ end }) => end > after.start))];
  return sides.every(Boolean) && scale.tickets !== undefined && Math.abs(scale.tickets.ratio - 1) < 0.01;
}

export function correction({ day }: RateCase, { perTurn }: Applied, { say }: RateContext): { readonly setting: string; readonly old: string; readonly new: string } {
  const entered = day.entered ?? perTurn.value;
  const digits = Math.max(2, 3 - Math.floor(Math.log10(entered)));
  return { setting: say('offSetting', { meter: day.track.meter }), old: `${formatNumber(entered, digits)} kg`, new: `${formatNumber(perTurn.value, digits)} kg` };
}

export function reportDrift(rateCase: RateCase, drift: PerTurnDrift, applied: Applied, context: RateContext): void {
  const { day } = rateCase;
  const { say, options, timeline } = context;
  const rate = applied.rate;
  context.report({
    code: 'rate.mass-per-turn-drift', subject: subjectOf(rateCase),
    severity: Math.abs(drift.ratio - 1) > 2 * options.act ? 'action' : 'watch', verdict: 'consistent',
    title: say('driftTitle', { tank: sentence(tankName(day.track.tank)), percent: percent(Math.abs(drift.ratio - 1)), side: drift.ratio < 1 ? 'less' : 'more', stretch: drift.kind === 'day' ? 'the day' : 'each load' }),
    span: { start: applied.regime.start, end: Math.min(applied.regime.end, timeline.length) }, episodes: applied.regime.charges.map(({ start, end }) => ({ start, end })),
    measure: { value: drift.ratio, low: drift.low, high: drift.high, unit: 'ratio', expected: 1 },
    consequence: {
      ...(applied.area === undefined ? {} : { areaHa: applied.area / 1e4 }),
      ...(applied.area === undefined || applied.ordered === undefined ? {} : { massKg: applied.mass.value - applied.ordered.rate * applied.area }),
      text: say('driftConsequence', { applied: rate === undefined ? quantity.mass(applied.mass.value) : quantity.rate(rate.value), ordered: applied.ordered === undefined ? '' : say('stepOrdered', { rate: quantity.rate(applied.ordered.rate) }) }),
    },
    explanation: say('driftWhy', { ratio: formatNumber(drift.ratio, 3), low: formatNumber(drift.low, 3), high: formatNumber(drift.high, 3), pattern: say(drift.kind === 'day' ? 'driftDay' : 'driftLoad') }),
    excludes: [say('stepNotBridge'), say('stepNotWheel')],
    cannotTell: say('driftCannot'),
    decidingCheck: say('driftCheck'),
    cautions: [cautions.K1, cautions.K4],
    channels: day.track.channels,
    evidence: [perTurnTrace(rateCase), massAgainstTurns(rateCase), routesTable(rateCase)],
  });
}

export const sentence = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);
