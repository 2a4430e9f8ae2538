import { formatNumber, quantity } from '../../../shared/text.ts';
import { cautions } from '../cautions.ts';
import type { DetectorContext } from '../detector.ts';
import { lastReading, massTrace } from './mass-evidence.ts';
import { massLine, type MassBlock } from './mass-line.ts';
import type { messages } from './messages.ts';
import type { ScaleOptions } from './options.ts';
import type { ScaleSpan } from './span-by-tickets.ts';
import type { TankTrack } from './tank-track.ts';
import type { TicketedFill } from './tickets.ts';
import { percent, tankName } from './wording.ts';

export type ScaleContext = DetectorContext<keyof typeof messages, ScaleOptions>;

/** How far off for certain: past the level that is acted on, or merely no longer good; `undefined` = good, or not provable. */
export function spanSeverity(span: ScaleSpan, { notGood, act, sigmas, leastTicketMass, sigmasForLess }: ScaleOptions['span']): 'action' | 'watch' | undefined {
  const off = Math.abs(span.ratio - 1);
  const needed = span.ticketMass < leastTicketMass ? sigmasForLess : sigmas;
  if (off < notGood || off < needed * span.uncertainty) return undefined;
  return off > act ? 'action' : 'watch';
}

export function reportSpan(track: TankTrack, span: ScaleSpan, booked: readonly TicketedFill[], blocks: readonly MassBlock[], severity: 'action' | 'watch', context: ScaleContext): void {
  const { say, timeline } = context;
  const off = span.ratio - 1;
  const gain = booked.reduce((sum, fill) => sum + fill.scaleMass, 0);
  const last = lastReading(track.mass);
  const real = last.mass / span.ratio;
  const line = massLine(blocks);
  const slots = { tank: tankName(track.tank), percent: percent(Math.abs(off)), side: off > 0 ? 'more' : 'less' };
  const rate = track.product?.targetRate;
  const area = rate === undefined ? undefined : Math.abs(real - last.mass) / rate;
  context.report({
    code: 'scale.span-off', subject: `tank.${track.tank.id}`, severity, verdict: 'proved',
    title: say('spanTitle', slots),
    span: { start: 0, end: timeline.length }, episodes: booked.flatMap(({ fills }) => fills.map(({ start, end }) => ({ start, end }))),
    measure: { value: span.ratio, low: span.low, high: span.high, unit: 'ratio', expected: 1 },
    consequence: {
      text: say('spanConsequence', {
        ...slots, shown: quantity.mass(last.mass), real: quantity.mass(real),
        hectares: area === undefined ? '' : say('spanHectares', { more: real > last.mass ? 'more by' : 'less by', area: quantity.area(area, 1) }),
      }),
    },
    correction: { setting: say('spanSetting', slots), old: '1.000', new: formatNumber(1 / span.ratio, 3) },
    explanation: say('spanWhy', {
      ticket: quantity.mass(span.ticketMass), gain: quantity.mass(gain), fills: span.fills === 1 ? 'one load' : `${span.fills} loads`,
      ratio: formatNumber(span.ratio, 3), low: formatNumber(span.low, 3), high: formatNumber(span.high, 3),
      scatter: span.mswd > 3 ? say('spanScatter') : '', constancy: line === undefined ? say('spanNoMeter') : say('spanConstant'),
    }),
    excludes: [say('spanNotMeter'), say('spanNotZero'), say('spanNotWheel')],
    cannotTell: say('spanCannot'),
    decidingCheck: say('spanCheck', { mass: quantity.mass(2000) }),
    cautions: [cautions.K8, cautions.K9],
    channels: track.channels,
    evidence: [ticketLine(booked, span), massTrace(`Scale of tank ${track.tank.id}`, track.mass, { start: 0, end: timeline.length }, [], (_, reading) => reading / span.ratio), ticketTable(booked, context.dayStart)],
  });
}

function ticketLine(booked: readonly TicketedFill[], span: ScaleSpan) {
  return {
    kind: 'xy' as const, title: 'What the scale gained against what the tickets say',
    x: { label: 'ticket', unit: 'kg' }, y: { label: 'scale', unit: 'kg' },
    series: [{ label: 'loads', x: booked.map(({ ticketMass }) => ticketMass), y: booked.map(({ scaleMass }) => scaleMass), style: 'points' as const, role: 'subject' as const }],
    lines: [{ label: 'as measured', slope: span.ratio, intercept: 0 }, { label: 'a true scale', slope: 1, intercept: 0 }],
  };
}

export function ticketTable(booked: readonly TicketedFill[], dayStart: number) {
  return {
    kind: 'table' as const, title: 'Loads',
    columns: [{ label: 'loaded', unit: 's' }, { label: 'ticket', unit: 's' }, { label: 'ticket', unit: 'kg', digits: 0 }, { label: 'scale', unit: 'kg', digits: 0 }, { label: 'scale ÷ ticket', digits: 3 }],
    rows: booked.map(({ fills, tickets, ticketMass, scaleMass }) => [fills[0]?.start ?? null, (tickets[0]?.time ?? Number.NaN) - dayStart, ticketMass, scaleMass, scaleMass / ticketMass]),
  };
}
