import { formatNumber, quantity } from '../../../shared/text.ts';
import { cautions } from '../cautions.ts';
import { feedingMask } from '../rate/applied.ts';
import { turnsIn, type ProductDay } from '../rate/product-day.ts';
import { areaIn } from '../rate/worked-ground.ts';
import { massTrace } from '../scale/mass-evidence.ts';
import { jump } from '../scale/mass-steps.ts';
import { barePlaces } from './bare-places.ts';
import { feedTrace } from './flow-evidence.ts';
import { usualPerTurn, type FlowStop } from './flow-stops.ts';
import { asSentence, nameOf, type TankCase, type TankFlowContext } from './tank-flow-case.ts';

/** Reports each stretch in which the meter turned for nothing: an empty tank, or product that hung. */
export function reportStops(tankCase: TankCase, context: TankFlowContext): void {
  const { day, ground } = tankCase;
  const fed = feedingMask({ track: day.track, stops: [] });
  for (const stop of day.stops) {
    const area = ground === undefined ? undefined : areaIn(ground.best, [stop], fed);
    if (area !== undefined && area < context.options.stops.leastArea) continue;
    if (isEmpty(day, stop, context.options.stops)) reportEmpty(tankCase, stop, area, context);
    else reportBridged(tankCase, stop, area, context);
  }
}

/** kg really in the tank: the reading put right for jumps of the zero before it. */
function contentAt({ story, scale }: ProductDay, reading: number, time: number): number {
  const moved = story.moves.filter((move) => move.time < time).reduce((sum, move) => sum + jump(move), 0);
  return (reading - moved) / scale.ratio;
}

function isEmpty(day: ProductDay, stop: FlowStop, { emptyReading, emptyShare }: TankFlowContext['options']['stops']): boolean {
  const limit = Math.max(emptyReading, emptyShare * (day.track.tank.capacity ?? 0));
  /* A zero that was set with product in the tank makes it read far below nothing while it still gives. */
  const left = contentAt(day, stop.reading, stop.start) - (stop.witness === 'scale' ? 0 : Math.max(0, promised(day, stop) - stop.missing));
  return left < limit;
}

function promised(day: ProductDay, stop: FlowStop): number {
  return (usualPerTurn(day.track, day.story.flowing) ?? 0) * turnsIn(day.track, stop) / day.scale.ratio;
}

function wordsFor(day: ProductDay, stop: FlowStop, area: number | undefined) {
  const due = promised(day, stop);
  const missing = stop.missing / day.scale.ratio;
  return {
    tank: asSentence(nameOf(day)), duration: quantity.duration(Math.round((stop.end - stop.start) / 5) * 5), reading: quantity.mass(Math.max(0, contentAt(day, stop.reading, stop.start))),
    from: quantity.clock(stop.start), to: quantity.clock(stop.end), turns: formatNumber(turnsIn(day.track, stop), 0),
    promised: quantity.mass(due), lost: quantity.mass(Math.max(0, due - missing)), mass: quantity.mass(missing), area: quantity.area(area ?? 0),
  };
}

function reportBridged(tankCase: TankCase, stop: FlowStop, area: number | undefined, context: TankFlowContext): void {
  const { day } = tankCase;
  const { say, timeline } = context;
  const slots = wordsFor(day, stop, area);
  const missing = stop.missing / day.scale.ratio;
  const half = 1.96 * Math.hypot(stop.uncertainty, missing * day.scale.uncertainty);
  const resumed = turnsIn(day.track, { start: stop.end + 30, end: stop.end + 1800 }) > 0;
  const tellsMass = day.track.feed !== undefined && promised(day, stop) > 3 * stop.uncertainty;
  const after = resumed ? say('bridgedAfter') : '';
  const ground = barePlaces(stop, (text) => say('placeBare', { tank: day.track.tank.id, ...text }), context);
  const around = { start: Math.max(0, stop.start - 900), end: Math.min(timeline.length, stop.end + 900) };
  context.report({
    code: 'tank.bridged', subject: `tank.${day.track.tank.id}`, severity: 'action', verdict: resumed && tellsMass ? 'proved' : 'consistent',
    title: say('bridgedTitle', slots),
    span: { start: stop.start, end: stop.end }, episodes: [{ start: stop.start, end: stop.end }],
    ...(tellsMass ? { measure: { value: missing, low: missing - half, high: missing + half, unit: 'kg', expected: 0 } } : {}),
    consequence: { ...(area === undefined ? {} : { areaHa: area / 1e4 }), massKg: -missing, text: say('bridgedConsequence', slots) },
    explanation: stop.witness === 'scale' ? say('bridgedWhy', { ...slots, counts: '', after }) : say('bridgedByCounts', { ...slots, scale: tellsMass ? say('bridgedScale', slots) : '', after }),
    excludes: [say('bridgedNotStall'), say('bridgedNotEmpty', slots), ...(resumed ? [say('bridgedNotCell')] : []), say('bridgedNotSection')],
    cannotTell: say('bridgedCannot'),
    decidingCheck: say('bridgedCheck'),
    cautions: [cautions.K5, cautions.K7, cautions.K1, ...(day.product?.counted === true ? [cautions.K4] : [cautions.K6])],
    channels: [...day.track.channels, ...(stop.witness === 'counts' ? ['run.*.count'] : [])],
    evidence: [massTrace(`Scale of tank ${day.track.tank.id}`, day.track.mass, around, [stop]), feedTrace(day, around, [stop]), ...ground.maps],
    ...(ground.places.length === 0 ? {} : { places: ground.places }),
  });
}

function reportEmpty(tankCase: TankCase, stop: FlowStop, area: number | undefined, context: TankFlowContext): void {
  const { day } = tankCase;
  const { say, timeline } = context;
  const slots = wordsFor(day, stop, area);
  const ground = barePlaces(stop, (text) => say('placeBare', { tank: day.track.tank.id, ...text }), context);
  const around = { start: Math.max(0, stop.start - 900), end: Math.min(timeline.length, stop.end + 600) };
  context.report({
    code: 'tank.ran-out', subject: `tank.${day.track.tank.id}`, severity: 'action', verdict: 'proved',
    title: say('emptyTitle', slots),
    span: { start: stop.start, end: stop.end }, episodes: [{ start: stop.start, end: stop.end }],
    consequence: { ...(area === undefined ? {} : { areaHa: area / 1e4 }), massKg: -stop.missing / day.scale.ratio, text: say('emptyConsequence', slots) },
    explanation: say('emptyWhy', { ...slots, witness: say(stop.witness === 'counts' ? 'emptyByCounts' : 'emptyByScale', slots) }),
    excludes: [say('emptyNotBridge'), say('emptyNotStall')],
    cannotTell: say('emptyCannot'),
    decidingCheck: say('emptyCheck'),
    cautions: [cautions.K7, cautions.K5, cautions.K8],
    channels: [...day.track.channels, ...(stop.witness === 'counts' ? ['run.*.count'] : [])],
    evidence: [massTrace(`Scale of tank ${day.track.tank.id}`, day.track.mass, around, [stop]), feedTrace(day, around, [stop]), ...ground.maps],
    ...(ground.places.length === 0 ? {} : { places: ground.places }),
  });
}
