import type { Span } from '../../../shared/span.ts';
import { formatNumber, quantity } from '../../../shared/text.ts';
import { cautions } from '../cautions.ts';
import type { FindingDraft } from '../detector.ts';
import { medianIn } from './causes.ts';
import { fanName, speedTrace, type FanCheck } from './evidence.ts';
import type { FanDay } from './fan-day.ts';
import { pressureSwings, type Swing, type SwingSearch } from './swings.ts';

/** The fan's speed swings to and fro. */
export function swingFinding(context: FanCheck, fan: FanDay, { episodes, rate }: SwingSearch): FindingDraft | undefined {
  const { say, timeline, options, setup } = context;
  const strongest = episodes.reduce<Swing | undefined>((best, swing) => (best === undefined || swing.amplitude > best.amplitude ? swing : best), undefined);
  if (strongest === undefined) return undefined;
  const spans: readonly Span[] = episodes.map(({ start, end }) => ({ start, end }));
  const inPressure = fan.pressures.some((id) => pressureSwings(timeline.mean(id), strongest, options));
  const percent = formatNumber(100 * strongest.amplitude, 1);
  const speed = medianIn(timeline.mean('gnss.speed') ?? timeline.mean('wheel.speed'), spans);
  const name = fanName(context, fan.id, setup.machine.fans.find(({ id }) => id === fan.id)?.name);
  return {
    code: 'fan.unsteady',
    subject: `fan.${fan.id}`,
    severity: 'watch',
    verdict: inPressure ? 'proved' : 'consistent',
    title: say('swingTitle', { fan: name, percent }),
    span: { start: spans[0]?.start ?? 0, end: spans.at(-1)?.end ?? 0 },
    episodes: spans,
    measure: { value: strongest.amplitude, low: strongest.amplitude, high: strongest.amplitude, unit: 'ratio', expected: 0 },
    consequence: { text: Number.isFinite(speed) && rate > 1 ? say('swingCost', { length: quantity.length(speed / strongest.frequency) }) : say('swingCostTime') },
    explanation: [
      say('swingWhy', {
        start: quantity.clock(strongest.start), end: quantity.clock(strongest.end), percent,
        speed: quantity.rotation(medianIn(fan.speed, spans)), period: quantity.duration(1 / strongest.frequency, 1),
      }),
      ...(inPressure ? [say('swingPressure')] : []),
      ...(rate > 1 ? [] : [say('swingAliased')]),
    ].join(' '),
    excludes: [say('swingNotLift'), ...(inPressure ? [say('swingNotSensor')] : [])],
    cannotTell: say(inPressure ? 'swingCannot' : 'swingCannotSensor'),
    decidingCheck: say('swingCheck'),
    cautions: [cautions.K1, cautions.K2, cautions.K10],
    channels: [fan.channel.id, ...(inPressure ? fan.pressures : [])],
    evidence: [speedTrace(context, fan, [{ start: strongest.start, end: Math.min(strongest.end, strongest.start + 300) }], false)],
  };
}
