import type { Evidence } from '../../../shared/evidence.ts';
import type { Span } from '../../../shared/span.ts';
import { formatNumber, quantity } from '../../../shared/text.ts';
import { totalSeconds } from '../../series/spans.ts';
import { cautions } from '../cautions.ts';
import type { FindingDraft } from '../detector.ts';
import { airAgrees, medianIn, type CauseFacts } from './causes.ts';
import { fanName, lowTable, speedTrace, witnessTrace, type FanCheck } from './evidence.ts';
import type { FanDay } from './fan-day.ts';
import { lowestSustained, secondsLow, type LowStretch } from './low-stretches.ts';
import type { FanMessage } from './messages.ts';

/** The fan under its floor, all stretches of one cause together. */
export function lowFinding(context: FanCheck, fan: FanDay, stretches: readonly LowStretch[], facts: CauseFacts, wrong: readonly Span[]): FindingDraft | undefined {
  const { say, options, setup } = context;
  const parts = stretches.flatMap((stretch) => stretch.parts);
  const lowest = lowestSustained(fan, parts, options);
  if (lowest === undefined) return undefined;
  const seconds = secondsLow(stretches);
  const time = quantity.duration(seconds);
  const air = airAgrees(context, fan, parts, wrong);
  const name = fanName(context, fan.id, setup.machine.fans.find(({ id }) => id === fan.id)?.name);
  const cured = facts.cause === 'cold-oil' || facts.cause === 'first-start';
  const serious = seconds >= options.seriousLow && fan.floorFrom === 'setup' && !cured;
  const span = { start: stretches[0]?.start ?? 0, end: stretches.at(-1)?.end ?? 0 };
  const percent = formatNumber(100 * (1 - options.shareOfTarget), 0);
  const pressure = fan.pressures[0] === undefined ? undefined : context.timeline.mean(fan.pressures[0]);
  const evidence: readonly Evidence[] = [
    speedTrace(context, fan, stretches, facts.cause === 'engine'),
    ...(cured && facts.cause === 'cold-oil' ? oilTrace(context, stretches) : []),
    ...(pressure === undefined ? [] : [witnessTrace(say('pressureTitle'), say('pressureLabel'), 'Pa', pressure, stretches)]),
    lowTable(context, fan, stretches),
  ];
  return {
    code: 'fan.below-floor',
    subject: `fan.${fan.id}`,
    severity: serious ? 'action' : 'watch',
    verdict: air === 'yes' ? 'proved' : 'consistent',
    title: fan.floorFrom === 'setup' ? say('lowTitle', { fan: name, time }) : say('lowTitleTarget', { fan: name, time, percent }),
    span,
    episodes: stretches.map(({ start, end }) => ({ start, end })),
    measure: { value: lowest.speed, low: lowest.low, high: lowest.high, unit: 'rpm', expected: lowest.floor },
    consequence: costOf(context, parts, time),
    explanation: [
      say('lowWhy', {
        floor: quantity.rotation(lowest.floor), time, lowest: quantity.rotation(lowest.speed), clock: quantity.clock(lowest.time),
        count: stretches.length === 1 ? say('once') : say('times', { n: String(stretches.length) }),
      }),
      floorText(context, fan, lowest.floor),
      causeText(context, fan, stretches, facts),
    ].join(' '),
    excludes: [
      ...(air === 'yes' ? [say('lowNotSensor')] : []),
      ...(facts.cause === 'supply' && Number.isFinite(facts.engine) ? [say('lowNotEngine', { engine: quantity.rotation(facts.engine) })] : []),
      say('lowNotStart', { time: quantity.duration(options.runUp) }),
      say('lowNotDip', { time: quantity.duration(options.shortestLow) }),
    ],
    cannotTell: say(air !== 'yes' ? 'lowCannotSensor' : CANNOT[facts.cause]),
    decidingCheck: say(air === 'no' ? 'lowCheckSensor' : CHECKS[facts.cause]),
    cautions: [cautions.K1, cautions.K2, cautions.K10],
    channels: [fan.channel.id, ...(fan.target === undefined ? [] : [`fan.${fan.id}.target`]), ...fan.pressures.slice(0, 1)],
    evidence,
  };
}

const CANNOT: Readonly<Record<CauseFacts['cause'], FanMessage>> = {
  'command': 'lowCannotOil', 'cold-oil': 'lowCannotCold', 'first-start': 'lowCannotCold', 'engine': 'lowCannotEngine', 'lift': 'lowCannotOil', 'supply': 'lowCannotOil',
};
const CHECKS: Readonly<Record<CauseFacts['cause'], FanMessage>> = {
  'command': 'lowCheckCommand', 'cold-oil': 'lowCheckCold', 'first-start': 'lowCheckCold', 'engine': 'lowCheckEngine', 'lift': 'lowCheckOil', 'supply': 'lowCheckOil',
};

function costOf({ say, setup, timeline }: FanCheck, parts: readonly Span[], time: string): NonNullable<FindingDraft['consequence']> {
  const speed = timeline.mean('gnss.speed') ?? timeline.mean('wheel.speed');
  const width = setup.machine.workingWidth;
  if (width === undefined || speed === undefined) return { text: say('lowCostTime', { time }) };
  const area = parts.reduce((sum, part) => sum + (medianIn(speed, [part]) || 0) * (part.end - part.start) * width, 0);
  return { areaHa: area / 1e4, text: say('lowCost', { area: quantity.area(area) }) };
}

function floorText({ say, setup, options }: FanCheck, fan: FanDay, floor: number): string {
  const share = formatNumber(100 * options.shareOfTarget, 0);
  if (fan.floorFrom === 'target') return say('lowFloorTarget', { share, target: quantity.rotation(floor / options.shareOfTarget) });
  const product = setup.job.products.find(({ fanFloor }) => fanFloor === floor);
  return say('lowFloorSetup', { floor: quantity.rotation(floor), product: product?.name ?? say('anyProduct') });
}

function causeText({ say }: FanCheck, fan: FanDay, stretches: readonly LowStretch[], facts: CauseFacts): string {
  const parts = stretches.flatMap((stretch) => stretch.parts);
  /* Right since: some of the work comes after the last stretch. */
  const rightSince = totalSeconds(fan.judged.filter(({ start }) => start > (stretches.at(-1)?.end ?? 0))) > 0;
  switch (facts.cause) {
    case 'command': return say('lowCommand', { target: quantity.rotation(medianIn(fan.target, parts)) });
    case 'cold-oil': return say(rightSince ? 'lowColdOil' : 'lowColdOilStays', { before: quantity.temperature(facts.oilBefore), after: quantity.temperature(facts.oilAfter) });
    case 'first-start': return say('lowFirstStart');
    case 'engine': return say('lowEngine', { engine: quantity.rotation(facts.engine), usual: quantity.rotation(facts.engineUsual) });
    case 'lift': return say('lowLift');
    case 'supply': return say(Number.isFinite(facts.engine) ? 'lowSupply' : 'lowSupplyUnknown');
  }
}

function oilTrace({ say, timeline }: FanCheck, stretches: readonly LowStretch[]): readonly Evidence[] {
  const oil = timeline.mean('oil.temperature');
  return oil === undefined ? [] : [witnessTrace(say('oilTitle'), say('oilLabel'), 'K', oil, stretches)];
}
