import type { TraceEvidence } from '../../../shared/evidence.ts';
import { quantity } from '../../../shared/text.ts';
import { cautions } from '../cautions.ts';
import { areaIn, type WorkedGround } from '../rate/worked-ground.ts';
import { percent, tankName } from '../scale/wording.ts';
import { seriesOf } from './flow-evidence.ts';
import type { TankPressure } from './pressure.ts';
import { asSentence, type TankFlowContext } from './tank-flow-case.ts';

export function reportPressures(pressures: readonly TankPressure[], ground: WorkedGround | undefined, context: TankFlowContext): void {
  for (const one of pressures) {
    reportZero(one, context);
    reportLow(one, pressures.filter((other) => other !== one && other.fan === one.fan), ground, context);
  }
}

function reportLow(one: TankPressure, mates: readonly TankPressure[], ground: WorkedGround | undefined, context: TankFlowContext): void {
  const { low } = one;
  if (low === undefined) return;
  /* When all tanks of a fan sink together it is the fan's air, which is not this check's. */
  const kept = mates.filter((mate) => shareIn(mate, low.start, low.end) > 0.9);
  if (mates.length > 0 && kept.length === 0) return;
  const { say } = context;
  const area = ground === undefined ? undefined : areaIn(ground.best, [low]);
  const name = nameFor(one, context);
  const names = kept.map((mate) => nameFor(mate, context)).join(', ');
  const slots = {
    tank: asSentence(name), ratio: percent(low.ratio, 0), low: percent(low.low, 0), high: percent(low.high, 0), from: quantity.clock(low.start),
    before: quantity.pressure(one.working), after: quantity.pressure(one.working * low.ratio), area: quantity.area(area ?? 0, 1),
  };
  context.report({
    code: 'tank.pressure-low', subject: `tank.${one.tank}`, severity: 'watch', verdict: kept.length > 0 ? 'proved' : 'consistent',
    title: say('lowTitle', slots),
    span: { start: low.start, end: low.end }, episodes: [{ start: low.start, end: low.end }],
    measure: { value: low.ratio, low: low.low, high: low.high, unit: 'ratio', expected: 1 },
    consequence: { ...(area === undefined ? {} : { areaHa: area / 1e4 }), text: say('lowConsequence', slots) },
    explanation: say('lowWhy', { ...slots, mates: kept.length === 0 ? '' : say('lowMates', { tanks: asSentence(names), pronoun: kept.length === 1 ? 'its' : 'their' }) }),
    excludes: [say('lowNotFan', { mates: kept.length > 0 ? say('lowNotFanMates') : '' })],
    cannotTell: say('lowCannot'),
    decidingCheck: say('lowCheck'),
    cautions: [cautions.K7, cautions.K1, cautions.K4],
    channels: [one.channel, `fan.${one.fan}.speed`],
    evidence: [pressureTrace(one, context, [low])],
  });
}

function shareIn({ pieces }: TankPressure, start: number, end: number): number {
  const inside = pieces.filter((piece) => piece.start >= start && piece.end <= end).map(({ share }) => share).toSorted((a, b) => a - b);
  return inside[Math.floor(inside.length / 2)] ?? Number.NaN;
}

function reportZero(one: TankPressure, context: TankFlowContext): void {
  const { rest } = one;
  const { zeroPascal, zeroShare, zeroWatchShare, stillSeconds } = context.options.pressure;
  if (rest === undefined || Math.abs(rest.pascal) - rest.halfWidth < Math.max(zeroPascal, zeroShare * (Number.isFinite(one.working) ? one.working : 0))) return;
  const { say } = context;
  const slots = {
    tank: nameFor(one, context), reading: quantity.pressure(rest.pascal), low: quantity.pressure(rest.pascal - rest.halfWidth), high: quantity.pressure(rest.pascal + rest.halfWidth),
    seconds: quantity.duration(rest.seconds), side: rest.pascal > 0 ? 'high' : 'low', still: quantity.duration(stillSeconds),
  };
  context.report({
    code: 'tank.pressure-zero-off', subject: `tank.${one.tank}`, severity: Math.abs(rest.pascal) > zeroWatchShare * one.working ? 'watch' : 'info', verdict: 'consistent',
    title: say('zeroTitle', slots),
    span: rest.span, episodes: [rest.span],
    measure: { value: rest.pascal, low: rest.pascal - rest.halfWidth, high: rest.pascal + rest.halfWidth, unit: 'Pa', expected: 0 },
    consequence: { text: say('zeroConsequence', slots) },
    explanation: say('zeroWhy', slots),
    excludes: [say('zeroNotRunDown', slots)],
    cannotTell: say('zeroCannot'),
    decidingCheck: say('zeroCheck'),
    cautions: [cautions.K7, cautions.K1],
    channels: [one.channel, `fan.${one.fan}.speed`],
    evidence: [pressureTrace(one, context, [rest.span])],
  });
}

function nameFor({ tank }: TankPressure, { setup }: TankFlowContext): string {
  return tankName(setup.machine.tanks.find(({ id }) => id === tank) ?? { id: tank });
}

/** Pressure beside what the fan's speed promises. */
function pressureTrace(one: TankPressure, { timeline }: TankFlowContext, shaded: TraceEvidence['shaded']): TraceEvidence {
  const span = { start: 0, end: timeline.length };
  const step = Math.max(1, Math.ceil(timeline.length / 400));
  const usualSpeed = one.speed.filter((rpm) => rpm > 500).toSorted();
  const middle = usualSpeed[Math.floor(usualSpeed.length / 2)] ?? 1;
  const promised = one.speed.map((rpm) => one.working * (rpm / middle) ** 2);
  return {
    kind: 'trace', title: `Pressure of tank ${one.tank}`, unit: 'Pa', span, shaded,
    series: [seriesOf('tank', one.pressure, span, step, 'subject'), seriesOf(`by the speed of fan ${one.fan}`, promised, span, step, 'witness')], levels: [],
  };
}
