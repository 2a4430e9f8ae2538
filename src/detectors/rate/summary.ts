import type { Day, DaySummary, ProductSummary } from '../../../shared/day.ts';
import type { Measurement } from '../../../shared/finding.ts';
import type { Setup } from '../../../shared/setup.ts';
import type { Interval } from '../../../shared/span.ts';
import type { Episodes } from '../../episodes/episodes.ts';
import type { Timeline } from '../../episodes/timeline.ts';
import { totalSeconds } from '../../series/spans.ts';
import { combineProduct, type Estimate } from '../../series/uncertainty.ts';
import { createChannelLookup } from '../channel-lookup.ts';
import type { ScaleSource } from '../scale/scale-story.ts';
import { appliedIn, blindTurns, type Applied } from './applied.ts';
import { defaults } from './options.ts';
import { resultOf } from './per-turn.ts';
import { productDays, type ProductDay } from './product-day.ts';
import { rateByField, rateByFill } from './rate-stretches.ts';
import { perTurnStory } from './regimes.ts';
import { rateRoutes } from './routes.ts';
import { areaIn, workedGround, type WorkedGround } from './worked-ground.ts';

export interface SummarySource {
  readonly day: Day;
  readonly setup: Setup;
  readonly timeline: Timeline;
  readonly episodes: Episodes;
  /** Of the detectors: the covered area is another way to hectares. */
  readonly measurements?: readonly Measurement[];
}

/**
 * What went into the ground: hectares by GNSS, kilograms by what the scale loses per turn, made true by the weigh tickets; by quiet
 * scale readings where no turns are logged. A product for which neither is known stays without a rate.
 */
export function summariseDay({ day, setup, timeline, episodes, measurements = [] }: SummarySource): DaySummary {
  const source: ScaleSource = { ...createChannelLookup(day.channels, setup.machine.setAside), timeline, setup, episodes, dayStart: day.start };
  const ground = workedGround(source, episodes);
  const area = ground === undefined ? 0 : areaIn(ground.best, [{ start: 0, end: timeline.length }]);
  const days = productDays(source);
  const covered = measurements.find(({ name, subject }) => name === 'area.covered' && subject === 'field');
  const listed = setup.job.products.map(({ tank }) => tank);
  const unlisted = days.filter(({ track }) => (track.fed?.at(-1) ?? 0) > 0 && !listed.includes(track.tank.id)).map(({ track }) => track.tank.id);
  return {
    areaHa: area / 1e4,
    workingHours: totalSeconds(episodes.working) / 3600,
    products: [...listed, ...unlisted].map((tank) => {
      const own = days.find(({ track }) => track.tank.id === tank);
      return { ...ordered(tank, setup, own), ...(own === undefined ? {} : amounts(own, ground, area, covered, source)) };
    }),
  };
}

function ordered(tank: string, setup: Setup, day: ProductDay | undefined): ProductSummary {
  const product = setup.job.products.find((entry) => entry.tank === tank);
  const logged = day?.commanded?.filter((value) => value > 0).toSorted();
  const target = product?.targetRate ?? logged?.[Math.floor(logged.length / 2)];
  return { tank, ...(product?.name === undefined ? {} : { name: product.name }), ...(target === undefined ? {} : { targetKgPerHa: target * 1e4 }) };
}

function amounts(day: ProductDay, ground: WorkedGround | undefined, area: number, covered: Interval | undefined, source: ScaleSource): Omit<ProductSummary, 'tank'> {
  const story = perTurnStory(day, source.timeline, defaults.regimes);
  if (story === undefined) return fromQuietReadings(day, area, ground?.uncertainty ?? 0, source);
  const applied = story.regimes.map((regime) => appliedIn(day, regime, ground, source.timeline));
  const total = totalOf(day, applied);
  const worked = applied.reduce((sum, each) => sum + (each.area ?? 0), 0);
  const inGround = applied.filter((each) => each.area !== undefined);
  const rate = ground === undefined || worked === 0 ? undefined
    : combineProduct([sumOf(inGround.map(({ mass }) => mass)), { value: worked, standardUncertainty: worked * ground.uncertainty, power: -1 }]);
  const appliedKgPerHa = rate === undefined ? undefined : interval(rate, 1e4);
  /* The surest route is the day's figure itself. */
  const routes = rateRoutes(day, applied, ground, covered).map((route, i) => (i === 0 && appliedKgPerHa !== undefined ? { ...route, kgPerHa: appliedKgPerHa } : route));
  const fills = ground === undefined ? [] : rateByFill(day, applied, ground);
  const fields = ground === undefined ? [] : rateByField(day, applied, ground, source.timeline);
  return {
    dispensedKg: interval(total, 1),
    ...(appliedKgPerHa === undefined ? {} : { appliedKgPerHa }),
    ...(routes.length === 0 ? {} : { routes }), ...(fills.length === 0 ? {} : { fills }), ...(fields.length === 0 ? {} : { fields }),
  };
}

/** All turns, what went unseen in holes of the log, and turns after a load cell was lost at the last known kg per turn. */
function totalOf(day: ProductDay, applied: readonly Applied[]): Required<Estimate> {
  const known = sumOf(applied.map(({ mass }) => mass));
  const unseen = day.charges.reduce((sum, charge) => sum + charge.unseen, 0) / day.scale.ratio;
  const last = applied.at(-1);
  const blind = last === undefined ? 0 : blindTurns(day) * last.perTurn.value;
  /* Two readings at each hole; a meter that goes on as before, give or take 2 % (trade.md c.5). */
  const own = Math.hypot(unseen > 0 ? 12 : 0, 0.02 * blind);
  return { value: known.value + unseen + blind, standardUncertainty: Math.hypot(known.standardUncertainty, own), degreesOfFreedom: known.degreesOfFreedom };
}

/** Sum of amounts that share the scale, so their uncertainties add up rather than average out. */
function sumOf(parts: readonly Required<Estimate>[]): Required<Estimate> {
  return {
    value: parts.reduce((sum, { value }) => sum + value, 0),
    standardUncertainty: parts.reduce((sum, { standardUncertainty }) => sum + standardUncertainty, 0),
    degreesOfFreedom: Math.min(Number.POSITIVE_INFINITY, ...parts.map(({ degreesOfFreedom }) => degreesOfFreedom)),
  };
}

/** First quiet reading − last + all loads, made true. */
function fromQuietReadings(day: ProductDay, area: number, areaUncertainty: number, { episodes }: ScaleSource): Pick<ProductSummary, 'appliedKgPerHa' | 'dispensedKg'> {
  const quiet = episodes.quiet(day.track.tank.id);
  const [first, last] = [quiet[0], quiet.at(-1)];
  if (first === undefined || last === undefined || last.start <= first.start || day.story.moves.length > 0) return {};
  const fills = episodes.fills(day.track.tank.id).filter(({ start, end }) => start >= first.start && end <= last.end);
  const mass = combineProduct([
    { value: first.mass - last.mass + fills.reduce((sum, fill) => sum + fill.after - fill.before, 0), standardUncertainty: Math.hypot(first.uncertainty, last.uncertainty, ...fills.map((fill) => fill.uncertainty)) },
    { value: day.scale.ratio, standardUncertainty: day.scale.ratio * day.scale.uncertainty, power: -1 },
  ]);
  /* A tank that lost no more than its readings wander was not used. */
  if (mass.value < 3 * mass.standardUncertainty) return {};
  const rate = area > 0 ? combineProduct([mass, { value: area, standardUncertainty: areaUncertainty * area, power: -1 }]) : undefined;
  return { dispensedKg: interval(mass, 1), ...(rate === undefined ? {} : { appliedKgPerHa: interval(rate, 1e4) }) };
}

function interval(estimate: Required<Estimate>, scale: number): Interval {
  const { value, low, high } = resultOf(estimate);
  return { value: value * scale, low: Math.max(0, low * scale), high: high * scale };
}
