import { formatNumber, quantity } from '../../../shared/text.ts';
import { quantile } from '../../series/robust.ts';
import { defineDetector, type DetectorOutcome } from '../detector.ts';
import { asPercent, asRatio, type SpeedCase, type SpeedContext } from './context.ts';
import { entryCompared, type EntryComparison } from './entry.ts';
import { gapFindings } from './gap-finding.ts';
import { groundSpeed, type GroundSpeed } from './ground.ts';
import { speedMessages } from './messages.ts';
import { offFinding } from './off-finding.ts';
import { speedOptions } from './options.ts';
import { pulseGaps } from './pulse-gaps.ts';
import { judge, type RatioEstimate } from './ratio-estimate.ts';
import { shiftFinding } from './shift-finding.ts';
import { slipFinding } from './slip-finding.ts';
import { wheelStory, type WheelStory } from './story.ts';
import { bareWheelWay, wheelWays, type WheelWay, type WheelWays } from './wheel.ts';

export const speedCalibration = defineDetector({
  meta: {
    id: 'speed-calibration',
    title: 'Speed wheel against GNSS',
    docs: {
      what: 'Whether the cart\'s speed wheel claims the way the machine really went: a wrong constant, a change during the day, pulses lost or doubled, slip.',
      why: 'Rate controllers and area counters work from this wheel. A wheel that reads 6 % high puts out 6 % too much and books 6 % too many hectares, and the displayed rate looks right.',
      how: 'GNSS speed is shifted by its lag (cross-correlation). Straight, steady driving is cut into half-minute windows; windows whose 5 s parts scatter more than twice the usual are dropped; Tukey\'s biweight of the log ratios is the answer, its 95 % interval a bootstrap over passes plus 0.1 % per 10 % of slipping windows. Beyond ±1 % with the whole interval is off, within is fine, else it cannot be told yet. Levels over the day come from optimal partition of two-minute medians; low and back again is slip, a step that stays is a change. A missing tooth shows as a lag of the count once per turn.',
      fooledBy: 'Slip that is the same all day looks like a wrong constant unless a lifted stretch is there to compare with. Softer ground from some time to the end of the log looks like a small change. On steep slopes without a logged pitch the way by GNSS is up to 0.7 % short.',
      source: 'Acting limit ±1 %, good ±0.5 %: common practice, no source. Receiver lag: Sensors 14 (2014) 23490. Convention of the corrected constant: algebra, in service texts as new = old × indicated ÷ actual. Slip of a towed wheel is one-sided: ASAE EP496 definition of travel reduction, from memory. Window method: own simulation.',
    },
    codes: ['speed.calibration-off', 'speed.calibration-shift', 'speed.pulses-missing', 'speed.slip'],
    requires: ['wheel.pulses|wheel.distance|wheel.speed', 'gnss.speed|gnss.lat'],
    messages: speedMessages,
  },
  defaults: speedOptions,
  detect,
});

function detect(context: SpeedContext): DetectorOutcome {
  const { timeline, episodes, channel, setup, options, say } = context;
  const ground = groundSpeed(timeline, channel);
  const ways = wheelWays(timeline, channel, setup.machine.wheel?.constant);
  if (ground === undefined) return { status: 'not-logged', why: say('whyNoGround') };
  const tanks = context.channels('tank.*.mass').map(({ id }) => id.split('.')[1] ?? '');
  const storyOf = (way: WheelWay): WheelStory =>
    wheelStory({ timeline, episodes, wheel: way.speed, ground: ground.speed, pulses: channel('wheel.pulses'), tanks }, options);
  if (ways === undefined) return withoutConstant(context, storyOf);

  const entry = ways.controller === undefined ? undefined : entryCompared(ways.controller, ways.judged, episodes, options);
  const { way, story, entryChanged } = whatChanged(ways, entry, storyOf);
  if (isTestSpeed(way, ground, story)) return { status: 'too-little-data', why: say('whyTestSpeed', { speed: quantity.speed(quantile(way.speed.filter(Number.isFinite), 0.5)) }) };

  const channels = [way.channel, ...ground.channels];
  const subject: SpeedCase = { story, way, ground, channels, controllerOff: entry?.difference ?? 0, entryChanged };
  const gaps = gapFindings(context, subject, pulseGaps(way.speed, ground.speed, story.lag, options));
  gaps.forEach(context.report);
  const { whole, first } = story;
  if (whole === undefined || first === undefined) {
    if (gaps.length > 0) return { status: 'ran', why: say('whyDead') };
    return { status: 'too-little-data', why: say('whyShort', { time: quantity.duration(story.seconds), more: quantity.duration(Math.max(60, LEAST_SECONDS - story.seconds)) }) };
  }
  measure(context, way, whole);
  for (const step of story.shifts) context.report(shiftFinding(context, subject, step));
  for (const slip of story.slips) context.report(slipFinding(context, subject, slip, whole));
  const judgement = judge(first, options.limit);
  if (judgement.verdict === 'off') context.report(offFinding(context, subject, first));
  return { status: judgement.verdict === 'cannot-tell' && first.high - first.low > 2 * options.limit ? 'too-little-data' : 'ran', why: [outcomeText(context, story, first), ...loadText(context, story)].join(' ') };
}

interface Judged { readonly way: WheelWay; readonly story: WheelStory; readonly entryChanged: number | undefined }

/** Pulses are judged, unless they stayed and what the controller makes of them changed: then the controller's figure is. */
function whatChanged({ judged, controller }: WheelWays, entry: EntryComparison | undefined, storyOf: (way: WheelWay) => WheelStory): Judged {
  const byPulses = { way: judged, story: storyOf(judged), entryChanged: undefined };
  if (entry?.changed === undefined || controller === undefined || byPulses.story.shifts.length > 0) return byPulses;
  const story = storyOf(controller);
  return story.shifts.length > 0 ? { way: controller, story, entryChanged: entry.changed } : byPulses;
}

/** Three blocks of two minutes. */
const LEAST_SECONDS = 360;

function outcomeText({ say, options }: SpeedContext, story: WheelStory, estimate: RatioEstimate): string {
  const judgement = judge(estimate, options.limit);
  const words = { ratio: asRatio(estimate.logRatio), low: asRatio(estimate.low), high: asRatio(estimate.high), limit: formatNumber(100 * options.limit, 0), time: quantity.duration(story.seconds) };
  if (judgement.verdict !== 'cannot-tell') return say(judgement.verdict === 'off' ? 'whyOff' : 'whyFine', words);
  return say('whyCannot', { ...words, more: quantity.duration(60 * Math.ceil(judgement.moreSeconds / 60)) });
}

function loadText({ say }: SpeedContext, { load }: WheelStory): readonly string[] {
  if (load === undefined) return [];
  return [say('whyLoad', { percent: asPercent(load.perKilogram * load.range), mass: quantity.mass(load.range), direction: load.perKilogram > 0 ? 'more' : 'less' })];
}

function measure({ measure }: SpeedContext, way: WheelWay, { logRatio, low, high, units }: RatioEstimate): void {
  const of = (factor: number): { readonly value: number; readonly low: number; readonly high: number } =>
    ({ value: factor * Math.exp(logRatio), low: factor * Math.exp(low), high: factor * Math.exp(high) });
  measure({ name: 'wheel.ratio', subject: 'wheel', ...of(1), unit: 'ratio', n: units });
  if (way.constant !== undefined) measure({ name: 'wheel.constant', subject: 'wheel', ...of(way.constant.pulsesPerMetre), unit: 'pulses/m', n: units });
}

/** Pulses without an entered constant: what the constant should be can be said, whether it is right cannot. */
function withoutConstant({ timeline, measure, say }: SpeedContext, storyOf: (way: WheelWay) => WheelStory): DetectorOutcome {
  const bare = bareWheelWay(timeline);
  const estimate = bare === undefined ? undefined : storyOf(bare).whole;
  if (estimate === undefined) return { status: 'not-set-up', why: say('whyNothing') };
  const [value, low, high] = [estimate.logRatio, estimate.low, estimate.high].map(Math.exp) as [number, number, number];
  measure({ name: 'wheel.constant', subject: 'wheel', value, low, high, unit: 'pulses/m', n: estimate.units });
  return { status: 'not-set-up', why: say('whyNoConstant', { constant: formatNumber(value, 3), low: formatNumber(low, 3), high: formatNumber(high, 3) }) };
}

/** A speed that never moves while the machine's does: typed in, not rolled. */
function isTestSpeed(way: WheelWay, ground: GroundSpeed, { windows }: WheelStory): boolean {
  if (way.route !== 'speed' || windows.length === 0) return false;
  const moving = way.speed.filter((speed, k) => speed > 0 && (ground.speed[k] as number) > 1);
  const usual = quantile(moving, 0.5);
  const same = moving.filter((speed) => Math.abs(speed - usual) <= 1e-4 * usual).length / moving.length;
  const real = ground.speed.filter((speed) => speed > 1);
  return same > 0.9 && quantile(real, 0.95) - quantile(real, 0.05) > 0.1 * quantile(real, 0.5);
}
