import { formatNumber, quantity } from '../../../shared/text.ts';
import type { Span } from '../../../shared/span.ts';
import { subtractSpans, unionSpans } from '../../series/spans.ts';
import { defineDetector, type DetectorOutcome } from '../detector.ts';
import { causeOf, type CauseFacts } from './causes.ts';
import { fanName, type FanCheck } from './evidence.ts';
import { fanDay, isFanDay, type FanDay } from './fan-day.ts';
import { jumpFinding } from './jump-finding.ts';
import { lowFinding } from './low-finding.ts';
import { lowestSustained, lowStretches, sensorScatter, type LowStretch, type Sustained } from './low-stretches.ts';
import { fanMessages } from './messages.ts';
import { fanOptions } from './options.ts';
import { sensorJumps } from './sensor-jumps.ts';
import { swingFinding } from './swing-finding.ts';
import { swings } from './swings.ts';

export const fanFloor = defineDetector({
  meta: {
    id: 'fan-floor',
    title: 'Fan speed against its floor',
    docs: {
      what: 'Whether a fan was under the speed its product needs while product went through it, whether it hunts, and whether its sensor shows what no fan can do.',
      why: 'Too little air plugs the farthest runs first, makes the rest late and thin, and an alarm set by guess either cries all day or not at all.',
      how: 'Only seconds count in which the machine works and the meter turns, without 40 s after each start of the fan. A median over 5 s has to stay under the floor for 10 s; dips of a lift are shorter. The floor is the one entered for the product, the highest of those metered; without one 90 % of the command stands in for it, and nothing graver than watch is said. Oil temperature, engine speed, command and tank pressure (∝ speed², fan laws) name the cause. Hunting is one frequency holding half of the scatter of a minute. Jumps to double, half or nothing within a second or two are the sensor.',
      fooledBy: 'A sensor that reads low by a constant share, when no tank pressure was logged. A floor that was entered wrongly. At one sample per second a swing faster than 0.5 Hz shows at a slower one.',
      source: 'Floor −10 % for more than 10 s, run-down 10–60 s, run-up within 30 s, hunting ±3–10 % at 0.1–1 Hz: common practice, no source. Pressure ∝ speed²: fan laws.',
    },
    codes: ['fan.below-floor', 'fan.unsteady', 'fan.sensor-implausible'],
    requires: ['fan.*.speed'],
    messages: fanMessages,
  },
  defaults: fanOptions,
  detect,
});

function detect(context: FanCheck): DetectorOutcome {
  const { say, setup } = context;
  const fans = context.channels('fan.*.speed').map((channel) => fanDay(context, channel));
  const name = (id: string): string => fanName(context, id, setup.machine.fans.find((fan) => fan.id === id)?.name);
  const judged = fans.filter(isFanDay);
  const remarks = [
    ...judged.map((fan) => judgeFan(context, fan, name(fan.id))),
    ...fans.flatMap((fan) => (isFanDay(fan) ? [] : [say(fan.why === 'idle' ? 'whyIdle' : 'whyNoFloor', { fan: name(fan.id) })])),
  ];
  if (judged.length > 0) return { status: 'ran', why: remarks.join(' ') };
  const unset = fans.some((fan) => !isFanDay(fan) && fan.why === 'no-floor');
  return { status: unset ? 'not-set-up' : 'too-little-data', why: [say('whyNone'), ...remarks].join(' ') };
}

/** Reports what is wrong with one fan and says in one sentence how it did. */
function judgeFan(context: FanCheck, fan: FanDay, name: string): string {
  const { say, options } = context;
  const jumps = sensorJumps(fan, options);
  const wrong = jumps.flatMap((jump) => {
    const finding = jumpFinding(context, fan, jump);
    if (finding === undefined) return [];
    context.report(finding);
    return unionSpans(jump.stretches, jump.flickers);
  });
  const low = lowStretches(fan, wrong, options);
  const explained = low.map((stretch) => ({ stretch, facts: causeOf(context, fan, stretch) }));
  for (const cause of new Set(explained.map(({ facts }) => facts.cause))) {
    const group = explained.filter(({ facts }) => facts.cause === cause);
    const finding = lowFinding(context, fan, group.map(({ stretch }) => stretch), ofLowest(group), wrong);
    if (finding !== undefined) context.report(finding);
  }
  const swing = swingFinding(context, fan, swings(fan, wrong, options));
  if (swing !== undefined) context.report(swing);
  const sustained = lowestSustained(fan, subtractSpans(fan.judged, wrong), options);
  if (sustained === undefined) return say('whyShort', { fan: name, time: quantity.duration(options.sustained) });
  measure(context, fan, sustained, low, wrong);
  return say(sustained.speed < sustained.floor ? 'whyLow' : 'whyFine', { fan: name, margin: formatNumber(sustained.speed / sustained.floor, 2), floor: quantity.rotation(sustained.floor) });
}

/** What went with the longest of the stretches. */
function ofLowest(group: readonly { readonly stretch: LowStretch; readonly facts: CauseFacts }[]): CauseFacts {
  const [first, ...others] = group;
  if (first === undefined) throw new Error('a group is never empty');
  return others.reduce((best, one) => (one.stretch.end - one.stretch.start > best.stretch.end - best.stretch.start ? one : best), first).facts;
}

/**
 * Margin: the lowest speed that lasted ÷ floor. Alarm: as high as the day's own healthy lows allow, less three times
 * their scatter, so that it does not cry on every climb, and never under the floor; its bounds are floor and those lows.
 */
function measure({ measure, options }: FanCheck, fan: FanDay, sustained: Sustained, low: readonly LowStretch[], wrong: readonly Span[]): void {
  const subject = `fan.${fan.id}`;
  const n = fan.judged.length;
  const { floor } = sustained;
  measure({ name: 'fan.margin', subject, value: sustained.speed / floor, low: sustained.low / floor, high: sustained.high / floor, unit: 'ratio', n });
  const healthy = lowestSustained(fan, subtractSpans(fan.judged, [...low, ...wrong]), options);
  const highest = Math.max(floor, healthy?.speed ?? floor);
  const scatter = 1.25 * sensorScatter(fan) / Math.sqrt(options.sustained);
  const value = Math.max(floor, Math.floor((highest - 3 * scatter) / 10) * 10);
  measure({ name: 'fan.suggested-alarm', subject, value, low: floor, high: highest, unit: 'rpm', n });
}
