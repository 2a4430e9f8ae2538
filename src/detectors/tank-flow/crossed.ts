import { formatNumber, quantity } from '../../../shared/text.ts';
import { cautions } from '../cautions.ts';
import type { ProductDay } from '../rate/product-day.ts';
import { massBlocks, massLine, type MassBlock, type MassLine } from '../scale/mass-line.ts';
import { massTrace } from '../scale/mass-evidence.ts';
import { percent } from '../scale/wording.ts';
import { asSentence, nameOf, type TankFlowContext } from './tank-flow-case.ts';

/** Two tanks whose losses follow each other's meter. */
export interface Crossing {
  readonly day: ProductDay;
  readonly other: ProductDay;
  /** Share of the loss that follows the other meter. */
  readonly share: number;
  readonly halfWidth: number;
  readonly own?: MassLine;
  readonly crossed: MassLine;
  /** The other tank by this tank's meter ÷ what is entered for it; `undefined` when only this tank tells. */
  readonly back?: number;
}

/** Pairs of tanks with exchanged meters, each told once, for the tank with the lower number. */
export function crossings(days: readonly ProductDay[], options: TankFlowContext['options']['crossed']): readonly Crossing[] {
  const found: Crossing[] = [];
  for (const [i, day] of days.entries()) {
    for (const other of days.slice(i + 1)) {
      const crossing = exchanged(day, other, options) ?? alone(day, other, options) ?? alone(other, day, options);
      if (crossing !== undefined) found.push(crossing);
    }
  }
  return found;
}

/** Both meters turned: kg per turn fits neither tank by its own meter, and both by the other's. */
function exchanged(day: ProductDay, other: ProductDay, { misfit, fit, leastMass }: TankFlowContext['options']['crossed']): Crossing | undefined {
  const [own, otherOwn] = [lineBy(day, day), lineBy(other, other)];
  const [crossed, back] = [lineBy(day, other), lineBy(other, day)];
  if (own === undefined || otherOwn === undefined || crossed === undefined || back === undefined || day.entered === undefined || other.entered === undefined) return undefined;
  if (lossOf(own) < leastMass || lossOf(otherOwn) < leastMass) return undefined;
  const fits = (line: MassLine, entered: number): number => Math.abs(Math.log(line.perTurn / entered));
  if (fits(own, day.entered) < misfit || fits(otherOwn, other.entered) < misfit || fits(crossed, day.entered) > fit || fits(back, other.entered) > fit) return undefined;
  /* loss = kg per turn × ((1 − share) × own turns + share × the other's turns). */
  const due = day.entered * (crossed.turns - own.turns);
  const share = (lossOf(own) - day.entered * own.turns) / due;
  return { day, other, own, crossed, back: back.perTurn / other.entered, share: Math.min(1, Math.max(0, share)), halfWidth: Math.abs((1.96 * 0.02 * lossOf(own)) / due) };
}

/** Only the other meter turned, and only this tank lost weight, in step with it. */
function alone(day: ProductDay, other: ProductDay, { leastMass }: TankFlowContext['options']['crossed']): Crossing | undefined {
  if (fedOf(day) > 0 || !(fedOf(other) > 0)) return undefined;
  const crossed = lineBy(day, other);
  const kept = lineBy(other, other);
  if (crossed === undefined || !(crossed.perTurn > 0) || lossOf(crossed) < leastMass || crossed.uncertainty > 0.03 * crossed.perTurn) return undefined;
  if (kept === undefined || Math.abs(lossOf(kept)) > 0.15 * lossOf(crossed)) return undefined;
  return { day, other, crossed, share: 1, halfWidth: 1.96 * crossed.uncertainty / crossed.perTurn };
}

const fedOf = ({ track }: ProductDay): number => track.fed?.at(-1) ?? 0;
const lossOf = (line: MassLine): number => line.perTurn * line.turns;

/** The line of one tank's scale against the meter of another. */
function lineBy(day: ProductDay, meter: ProductDay): MassLine | undefined {
  const { feed, fed } = meter.track;
  if (feed === undefined || fed === undefined) return undefined;
  const blocks: readonly MassBlock[] = day === meter ? day.story.blocks : massBlocks({ ...day.track, feed, fed }, day.story.flowing);
  return massLine(blocks);
}

export function reportCrossing({ day, other, own, crossed, back, share, halfWidth }: Crossing, context: TankFlowContext): void {
  const { say, timeline } = context;
  const slots = { tank: nameOf(day), Tank: asSentence(nameOf(day)), other: nameOf(other), crossed: quantity.massPerTurn(crossed.perTurn) };
  context.report({
    code: 'tank.meter-crossed', subject: `tank.${day.track.tank.id}`, severity: 'watch', verdict: 'consistent',
    title: say('crossedTitle', slots),
    span: { start: 0, end: timeline.length }, episodes: day.story.flowing,
    measure: { value: share, low: Math.max(0, share - halfWidth), high: share + halfWidth, unit: 'ratio', expected: 0 },
    consequence: { text: say('crossedConsequence') },
    explanation: own === undefined || day.entered === undefined
      ? say('crossedAlone', { ...slots, mass: quantity.mass(lossOf(crossed)) })
      : say('crossedWhy', {
        ...slots, own: quantity.massPerTurn(own.perTurn), ownRatio: formatNumber(own.perTurn / day.entered, 2), crossedRatio: formatNumber(crossed.perTurn / day.entered, 2),
        back: back === undefined ? '' : say('crossedBack', { backRatio: percent(back, 0) }),
      }),
    excludes: [say('crossedNotScale')],
    cannotTell: say('crossedCannot'),
    decidingCheck: say('crossedCheck'),
    cautions: [cautions.K1],
    channels: [...day.track.channels, ...other.track.channels],
    evidence: [
      massTrace(`Scale of tank ${day.track.tank.id}`, day.track.mass, { start: 0, end: timeline.length }, []),
      {
        kind: 'xy', title: `What tank ${day.track.tank.id} lost against the turns of either meter`, x: { label: 'turns', unit: 'turn' }, y: { label: 'lost', unit: 'kg' },
        series: [
          ...(own === undefined ? [] : [{ label: 'own meter', ...points(own), style: 'points' as const, role: 'witness' as const }]),
          { label: `meter of ${nameOf(other)}`, ...points(crossed), style: 'points' as const, role: 'subject' as const },
        ],
        lines: day.entered === undefined ? [] : [{ label: 'as entered', slope: day.entered, intercept: 0 }],
      },
    ],
  });
}

function points({ blocks }: MassLine): { readonly x: readonly number[]; readonly y: readonly number[] } {
  const first = new Map<number, MassBlock>();
  for (const block of blocks) if (!first.has(block.stretch)) first.set(block.stretch, block);
  return { x: blocks.map((block) => block.fed - (first.get(block.stretch)?.fed ?? 0)), y: blocks.map((block) => (first.get(block.stretch)?.mass ?? 0) - block.mass) };
}
