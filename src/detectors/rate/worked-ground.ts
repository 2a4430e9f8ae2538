import type { Span } from '../../../shared/span.ts';
import type { Episodes } from '../../episodes/episodes.ts';
import { sectionsOf } from '../../field/swath.ts';
import { median } from '../../series/robust.ts';
import { maskOf } from '../../series/spans.ts';
import { tankTracks, type TrackSource } from '../scale/tank-track.ts';
import { groundSpeed } from '../speed-calibration/ground.ts';
import { wheelWays } from '../speed-calibration/wheel.ts';

/** m² worked in each second, distance × width of the sections that were on, by each route that was logged. Overlap counts as often as it was driven. */
export interface WorkedGround {
  /** By GNSS; seconds without it by the wheel, corrected to GNSS. The best there is. */
  readonly best: Float64Array;
  readonly route: 'gnss' | 'wheel';
  /** By the wheel as the controller counts it. */
  readonly wheel?: Float64Array;
  /** m, openers as set up, all sections on. */
  readonly width: number;
  /** Relative standard uncertainty of an area by `best`: receiver, width as entered. */
  readonly uncertainty: number;
  readonly channels: readonly string[];
  readonly wheelChannels: readonly string[];
}

/** GNSS distance 0.1 %, or a wheel whose radius is known to 1.5 % (trade.md a.3: 0.5–3 %); width by tape 0.3 % (checks.md 8.3). */
const GNSS_DISTANCE = 0.001;
const WHEEL_DISTANCE = 0.015;
const WIDTH = 0.003;
/** When the product went on is known from sections or meters; from the lift alone it is early and late by seconds; from speed alone turns count as work. From memory. */
const BY_LIFT = 0.015;
const BY_SPEED = 0.08;

const grounds = new WeakMap<Episodes, WorkedGround | undefined>();

/** `undefined` when no speed was logged or the width is not set up. Worked out once for a day. */
export function workedGround(source: TrackSource, episodes: Episodes): WorkedGround | undefined {
  if (!grounds.has(episodes)) grounds.set(episodes, groundOf(source, episodes));
  return grounds.get(episodes);
}

function groundOf(source: TrackSource, episodes: Episodes): WorkedGround | undefined {
  const { channel, channels, timeline, setup } = source;
  const sections = sectionsOf(setup, channels('section.*.on').map(({ id }) => id.split('.')[1] ?? ''));
  const ways = wheelWays(timeline, channel, setup.machine.wheel?.constant);
  const wheelWay = ways?.controller ?? ways?.judged;
  const ground = groundSpeed(timeline, channel);
  if (sections.length === 0 || (ground === undefined && wheelWay === undefined)) return undefined;
  const known = whenOn(source);
  const widthOn = widthsOn(sections, known, source, episodes);
  const by = (speed: Float64Array): Float64Array => speed.map((v, k) => (widthOn[k] === 0 ? 0 : v * (widthOn[k] as number)));
  const level = ground === undefined ? undefined : levelSpeed(ground.speed, ground.sloped, source);
  const speed = level === undefined ? wheelWay?.speed : filled(level, wheelWay?.speed);
  if (speed === undefined) return undefined;
  return {
    best: by(speed),
    route: level === undefined ? 'wheel' : 'gnss',
    ...(wheelWay === undefined ? {} : { wheel: by(wheelWay.speed) }),
    width: sections.reduce((sum, { left, right }) => sum + right - left, 0),
    uncertainty: Math.hypot(level === undefined ? WHEEL_DISTANCE : GNSS_DISTANCE, WIDTH, known === 'lift' ? BY_LIFT : known === 'speed' ? BY_SPEED : 0),
    channels: ground?.channels ?? (wheelWay === undefined ? [] : [wheelWay.channel]),
    wheelChannels: wheelWay === undefined ? [] : [wheelWay.channel],
  };
}

/** Who says when product went on, best first. */
function whenOn(source: TrackSource): 'sections' | 'meters' | 'lift' | 'speed' {
  if (source.channels('section.*.on').length > 0) return 'sections';
  if (tankTracks(source).some(({ fed }) => (fed?.at(-1) ?? 0) > 0)) return 'meters';
  return source.channel('implement.working') === undefined ? 'speed' : 'lift';
}

/** m of the drill that were on in each second while it worked. */
function widthsOn(sections: ReturnType<typeof sectionsOf>, known: ReturnType<typeof whenOn>, source: TrackSource, episodes: Episodes): Float64Array {
  const { timeline, channel } = source;
  const working = maskOf(episodes.working, timeline.length);
  /* A meter that starts up or runs out is half on when its speed is half. */
  const feeds = known === 'meters' ? tankTracks(source).flatMap(({ feed }) => (feed === undefined ? [] : [{ feed, half: median([0, ...feed.filter((turns) => turns > 0)]) / 2 }])) : [];
  const states = sections.map(({ id, left, right }) => ({ width: right - left, on: channel(`section.${id}.on`) === undefined ? undefined : timeline.held(`section.${id}.on`) }));
  return Float64Array.from({ length: timeline.length }, (_, k) => {
    if (working[k] !== 1 || (known === 'meters' && !feeds.some(({ feed, half }) => (feed[k] as number) > half))) return 0;
    return states.reduce((sum, { width, on }) => sum + (on !== undefined && on[k] === 0 ? 0 : width), 0);
  });
}

/** Hectares are counted on the level. */
function levelSpeed(speed: Float64Array, sloped: boolean, { channel, timeline }: TrackSource): Float64Array {
  const level = sloped && channel('gnss.speed') !== undefined ? timeline.mean('gnss.speed') : undefined;
  return level === undefined ? speed : speed.map((v, k) => (Number.isNaN(v) ? v : level[k] as number));
}

/** Seconds without GNSS by the wheel, which elsewhere shows what it makes of a metre. */
function filled(ground: Float64Array, wheel: Float64Array | undefined): Float64Array {
  if (wheel === undefined) return ground;
  const ratios: number[] = [];
  for (let k = 0; k < ground.length; k += 7) {
    const ratio = (ground[k] as number) / (wheel[k] as number);
    if ((ground[k] as number) > 1 && Number.isFinite(ratio)) ratios.push(ratio);
  }
  const ratio = ratios.length < 30 ? 1 : median(ratios);
  return ground.map((v, k) => (Number.isNaN(v) ? (wheel[k] as number) * ratio : v));
}

/** m² in spans; unknown seconds add nothing. `only` = seconds that count. */
export function areaIn(area: Float64Array, spans: readonly Span[], only?: Uint8Array): number {
  let sum = 0;
  for (const { start, end } of spans) {
    for (let k = Math.max(0, Math.round(start)); k < Math.min(area.length, Math.round(end)); k++) {
      const value = area[k] as number;
      if (value > 0 && (only === undefined || only[k] === 1)) sum += value;
    }
  }
  return sum;
}
