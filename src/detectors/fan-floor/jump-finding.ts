import { formatNumber, quantity } from '../../../shared/text.ts';
import { intersectSpans, joinSpans, subtractSpans, totalSeconds, unionSpans } from '../../series/spans.ts';
import { cautions } from '../cautions.ts';
import type { FindingDraft } from '../detector.ts';
import { medianIn } from './causes.ts';
import { fanName, speedTrace, witnessTrace, type FanCheck } from './evidence.ts';
import type { FanDay } from './fan-day.ts';
import type { SensorJumps } from './sensor-jumps.ts';

/** Readings no fan can have. Undefined when the pressure says that the fan did it after all, or when there are too few. */
export function jumpFinding(context: FanCheck, fan: FanDay, { factor, stretches, flickers }: SensorJumps): FindingDraft | undefined {
  const { say, options, timeline, setup } = context;
  const spans = stretches.length > 0 ? stretches : flickers.length >= options.fewestFlickers ? flickers : [];
  const first = spans[0];
  if (first === undefined) return undefined;
  const share = pressureShare(context, fan, spans);
  /* ×2 of speed is ×4 of pressure, ½ is ¼, nothing is nothing: this far from 1 the fan itself changed. */
  if (share !== undefined && Math.abs(share - 1) > 0.35) return undefined;
  const all = unionSpans(stretches, flickers);
  const before = { start: Math.max(0, first.start - 10), end: first.start };
  const name = fanName(context, fan.id, setup.machine.fans.find(({ id }) => id === fan.id)?.name);
  const pressure = share === undefined || fan.pressures[0] === undefined ? undefined : timeline.mean(fan.pressures[0]);
  const shown = medianIn(fan.speed, spans) / medianIn(fan.target ?? fan.speed.map(() => fan.usual), spans);
  return {
    code: 'fan.sensor-implausible',
    subject: `fan.${fan.id}`,
    severity: 'watch',
    verdict: share !== undefined || stretches.length === 0 ? 'proved' : 'consistent',
    title: say('jumpTitle', { fan: name, what: say(factor === 2 ? 'jumpDouble' : factor === 0 ? 'jumpZero' : 'jumpHalf') }),
    span: { start: first.start, end: spans.at(-1)?.end ?? first.end },
    episodes: joinSpans(spans, 60),
    measure: { value: shown, low: shown, high: shown, unit: 'ratio', expected: 1 },
    consequence: { text: say('jumpCost') },
    explanation: [
      say('jumpWhy', {
        clock: quantity.clock(first.start), before: quantity.rotation(first.start === 0 ? fan.usual : medianIn(fan.speed, [before])), after: quantity.rotation(medianIn(fan.speed, [first])),
        count: all.length === 1 ? say('onceTime') : say('manyTimes', { n: String(all.length) }), time: quantity.duration(totalSeconds(all)),
      }),
      ...(share === undefined ? [] : [say('jumpPressure', { percent: formatNumber(100 * share, 0) })]),
    ].join(' '),
    excludes: [share === undefined ? say('jumpNotInertia') : say('jumpNotFan')],
    cannotTell: say('jumpCannot'),
    decidingCheck: say('jumpCheck'),
    cautions: [cautions.K1, cautions.K10],
    channels: [fan.channel.id, ...(pressure === undefined ? [] : fan.pressures.slice(0, 1))],
    evidence: [
      speedTrace(context, fan, [{ start: first.start, end: Math.min(first.end, first.start + 600) }], false),
      ...(pressure === undefined ? [] : [witnessTrace(say('pressureTitle'), say('pressureLabel'), 'Pa', pressure, [{ start: first.start, end: Math.min(first.end, first.start + 600) }])]),
    ],
  };
}

/** Pa; less is a tank that holds no pressure to speak of. */
const LEAST_PRESSURE = 500;

/** Tank pressure while the reading was wrong ÷ while it was right, in work. */
function pressureShare({ timeline }: FanCheck, fan: FanDay, spans: readonly { readonly start: number; readonly end: number }[]): number | undefined {
  const wrong = intersectSpans(fan.judged, spans);
  const right = subtractSpans(fan.judged, spans);
  for (const id of fan.pressures) {
    const pressure = timeline.mean(id);
    const usual = medianIn(pressure, right);
    const share = medianIn(pressure, wrong) / usual;
    if (Number.isFinite(share) && usual > LEAST_PRESSURE) return share;
  }
  return undefined;
}
