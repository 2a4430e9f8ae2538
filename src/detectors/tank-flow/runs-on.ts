import type { Span } from '../../../shared/span.ts';
import { quantity } from '../../../shared/text.ts';
import { median } from '../../series/robust.ts';
import { cautions } from '../cautions.ts';
import { countsPerTurn, type CountTrack } from '../rate/count-track.ts';
import type { ProductDay } from '../rate/product-day.ts';
import { percent } from '../scale/wording.ts';
import { usualPerTurn } from './flow-stops.ts';
import { feedTrace } from './flow-evidence.ts';
import { asSentence, nameOf, type TankCase, type TankFlowContext } from './tank-flow-case.ts';

/** Product that goes on arriving with the meter stopped. */
interface Trickle {
  /** Counts ÷ usual counts, the middle one of the runs; 95 % half-width over stops. */
  readonly share: number;
  readonly halfWidth: number;
  readonly stops: readonly Span[];
  /** kg */
  readonly mass: number;
}

export function reportRunsOn(tankCase: TankCase, context: TankFlowContext): void {
  const { day } = tankCase;
  const found = trickleOf(tankCase, context);
  if (found === undefined) return;
  const { say, options } = context;
  const [first, last] = [found.stops[0], found.stops.at(-1)];
  if (first === undefined || last === undefined) return;
  const slots = {
    tank: asSentence(nameOf(day)), share: percent(found.share, 0), low: percent(Math.max(0, found.share - found.halfWidth), 0), high: percent(found.share + found.halfWidth, 0),
    stops: String(found.stops.length), tail: quantity.duration(options.runsOn.tailSeconds), mass: quantity.mass(found.mass),
  };
  /* What arrives in the tail is reckoned, and sensors count few seeds better than many: 15 % (from memory). */
  const half = found.mass * Math.hypot(found.halfWidth / found.share, 0.15);
  context.report({
    code: 'tank.runs-on', subject: `tank.${day.track.tank.id}`, severity: 'watch', verdict: 'consistent',
    title: say('onTitle', slots),
    span: { start: first.start, end: last.end }, episodes: found.stops,
    measure: { value: found.mass, low: Math.max(0, found.mass - half), high: found.mass + half, unit: 'kg', expected: 0 },
    consequence: { massKg: found.mass, text: say('onConsequence', slots) },
    explanation: say('onWhy', slots),
    excludes: [say('onNotTail', slots), say('onNotSensor')],
    cannotTell: say('onCannot'),
    decidingCheck: say('onCheck'),
    cautions: [cautions.K1, cautions.K4, cautions.K10],
    channels: [...day.track.channels, 'run.*.count'],
    evidence: [feedTrace(day, { start: Math.max(0, last.start - 300), end: last.end + 120 }, found.stops)],
  });
}

function trickleOf({ day, all }: TankCase, context: TankFlowContext): Trickle | undefined {
  const { track, counts, story, scale } = day;
  const { tailSeconds, leastShare, leastSeconds, leastStops, leastMass } = context.options.runsOn;
  if (counts === undefined || track.feed === undefined) return undefined;
  const usual = countsPerTurn(counts, track.feed, story.flowing);
  const turnRate = median([...track.feed].filter((turns) => turns > 0));
  const stops = standingMeter(day, all, context).filter(({ start, end }) => end - start >= tailSeconds + leastSeconds).map(({ start, end }) => ({ start: start + tailSeconds, end: end - 1 }));
  if (!(turnRate > 0)) return undefined;
  const shares = stops.flatMap((stop) => {
    const share = shareIn(counts, usual, turnRate, stop);
    return Number.isFinite(share) ? [{ stop, share }] : [];
  });
  const running = shares.filter(({ share }) => share > leastShare / 2);
  /* Most of the stops from the first such one on: a leak does not come and go. */
  const since = running[0] === undefined ? [] : shares.slice(shares.indexOf(running[0]));
  if (running.length < leastStops || running.length < 0.7 * since.length) return undefined;
  const share = median(since.map((each) => each.share));
  const scatter = 1.4826 * median(since.map((each) => Math.abs(each.share - share)));
  const perTurn = (usualPerTurn(track, story.flowing) ?? Number.NaN) / scale.ratio;
  /* What arrives from the end of the tail on, and during the tail as well. */
  const seconds = since.reduce((sum, { stop }) => sum + stop.end - stop.start + tailSeconds, 0);
  const mass = share * turnRate * perTurn * seconds;
  if (share < leastShare || !(mass > leastMass)) return undefined;
  return { share, halfWidth: (1.96 * 1.25 * scatter) / Math.sqrt(since.length), stops: since.map(({ stop }) => stop), mass };
}

/** Stretches between two stretches of feeding with every counted meter stopped, the seed fan running, the log whole; stops for a load are too long. */
function standingMeter({ track, product }: ProductDay, all: readonly ProductDay[], { timeline, channel, options }: TankFlowContext): readonly Span[] {
  const feeds = [track, ...all.filter((other) => other.track !== track && other.product?.counted === true).map((other) => other.track)].flatMap(({ feed }) => feed ?? []);
  const fanId = `fan.${product?.fan ?? '1'}.speed`;
  const fan = channel(fanId) === undefined ? undefined : timeline.mean(fanId);
  const spans: Span[] = [];
  let start = -1;
  for (let k = 1; k < timeline.length; k++) {
    const stands = feeds.every((feed) => feed[k] === 0) && (fan === undefined || (fan[k] as number) > options.runsOn.fanRunning);
    if (stands && start < 0 && (track.feed?.[k - 1] ?? 0) > 0) start = k;
    if (!stands && start >= 0) {
      if (k - start < 180) spans.push({ start, end: k });
      start = -1;
    }
  }
  return spans;
}

/** Counts of the middle run in a stop ÷ what it would count at work. */
function shareIn({ runs }: CountTrack, usual: readonly number[], turnRate: number, { start, end }: Span): number {
  const shares = runs.flatMap((run, index) => {
    const known = run.subarray(start, end).filter(Number.isFinite);
    const atWork = (usual[index] ?? Number.NaN) * turnRate;
    return known.length === 0 || !(atWork > 0) ? [] : [known.reduce((sum, value) => sum + value, 0) / known.length / atWork];
  });
  return shares.length < 4 ? Number.NaN : median(shares);
}
