import type { RateRoute } from '../../../shared/day.ts';
import type { Interval } from '../../../shared/span.ts';
import { deadTimeCorrection } from '../../series/dispersion.ts';
import { totalOf } from '../../series/moments.ts';
import { median } from '../../series/robust.ts';
import { combineProduct, type Estimate } from '../../series/uncertainty.ts';
import { feedingMask, type Applied } from './applied.ts';
import { countsPerTurn } from './count-track.ts';
import { resultOf } from './per-turn.ts';
import type { ProductDay } from './product-day.ts';
import { areaIn, type WorkedGround } from './worked-ground.ts';

/** Relative standard uncertainties of what a route takes for granted (trade.md a.3; from memory): a wheel's radius, the width, a scale nobody checked. */
const WHEEL = 0.015;
const WIDTH = 0.003;
const UNCHECKED_SCALE = 0.01 / Math.sqrt(3);
/** Share of the seeds that run sensors see, and its uncertainty between machines; the seed mass as written on the bag. */
const SEEN = 0.93;
const SEEN_UNCERTAINTY = 0.04;
const SEED_MASS = 0.02;
/** s a sensor is blind after a seed (trade.md a.3, from memory): as likely, and at most. */
const DEAD_TIME = { likely: 0.0006, longest: 0.001 } as const;
/** kg, standard uncertainty of a reading with the tank standing: wander, noise, a step. */
const READING = 7;
/** A product fed over less than this share of the worked area is not spread over the covered area. */
const ALL_OVER = 0.95;

/** kg or m² with what is said of it. */
interface Part {
  readonly name: string;
  readonly amount: Estimate;
  readonly blindTo: string;
}

/** The applied rate by every chain of measurement the day allows: five ways to kilograms, three to hectares (trade.md a.2). Best first. */
export function rateRoutes(day: ProductDay, applied: readonly Applied[], ground: WorkedGround | undefined, covered: Interval | undefined): readonly RateRoute[] {
  const areas = areasOf(day, applied, ground, covered);
  const [best] = areas;
  if (best === undefined) return [];
  const masses = massesOf(day, applied);
  const route = (mass: Part, area: Part): RateRoute => {
    const { value, low, high } = resultOf(combineProduct([mass.amount, { ...area.amount, power: -1 }]));
    return { mass: mass.name, area: area.name, kgPerHa: { value: value * 1e4, low: Math.max(0, low * 1e4), high: high * 1e4 }, blindTo: [mass.blindTo, area.blindTo].filter((text) => text !== '').join('; ') };
  };
  const [surest] = masses;
  const controller = masses.find(({ name }) => name === ENTERED);
  const wheel = areas.find(({ name }) => name === BY_WHEEL);
  return [
    ...masses.map((mass) => route(mass, best)),
    ...(surest === undefined ? [] : areas.slice(1).map((area) => route(surest, area))),
    /* What the cab display shows: mass and area share the wheel's error. */
    ...(controller === undefined || wheel === undefined || wheel === best ? [] : [{ ...route(controller, wheel), blindTo: 'a wrong mass per turn; a wrong wheel, which is in both' }]),
  ];
}

const ENTERED = 'meter turns × entered mass per turn';
const BY_WHEEL = 'wheel distance × width';

function massesOf(day: ProductDay, applied: readonly Applied[]): readonly Part[] {
  const worked = applied.filter(({ area }) => area !== undefined);
  if (worked.length === 0) return [];
  const turns = totalOf(worked.map(({ regime }) => regime.turns));
  const made = totalOf(worked.map(({ mass }) => mass.value));
  const relative = made > 0 ? totalOf(worked.map(({ mass }) => mass.standardUncertainty)) / made : 0;
  const lines = worked.map(({ regime }) => ({ value: regime.line.perTurn * regime.turns, uncertainty: regime.line.uncertainty * regime.turns }));
  const read = totalOf(lines.map(({ value }) => value));
  const isTrue = day.scale.tickets !== undefined;
  const list: Part[] = [{
    name: isTrue ? 'tank scale, made true by the tickets' : 'tank scale', amount: { value: made, standardUncertainty: relative * made },
    blindTo: isTrue ? 'wrong tickets' : 'a wrong scale span, a missed fill',
  }];
  if (isTrue) list.push({ name: 'tank scale as it reads', amount: { value: read, standardUncertainty: Math.hypot(...lines.map(({ uncertainty }) => uncertainty), UNCHECKED_SCALE * read) }, blindTo: 'a wrong scale span' });
  const tickets = byTickets(day);
  if (tickets !== undefined) list.push({ name: 'weigh tickets less what was left', amount: tickets, blindTo: 'wrong tickets; a missing one' });
  if (day.entered !== undefined) list.push({ name: ENTERED, amount: { value: day.entered * turns, standardUncertainty: 0 }, blindTo: 'a wrong mass per turn' });
  const counted = byCounts(day, worked);
  if (counted !== undefined) list.push({ name: 'run counts × seed mass', amount: counted, blindTo: `what the sensors miss, taken as ${Math.round(100 * (1 - SEEN))} %; a wrong seed mass` });
  return list;
}

function areasOf(day: ProductDay, applied: readonly Applied[], ground: WorkedGround | undefined, covered: Interval | undefined): readonly Part[] {
  if (ground === undefined) return [];
  const fed = totalOf(applied.map(({ area }) => area ?? 0));
  if (!(fed > 0)) return [];
  const whole = areaIn(ground.best, [{ start: 0, end: ground.best.length }]);
  const parts: Part[] = [ground.route === 'gnss'
    ? { name: 'GNSS distance × width', amount: { value: fed, standardUncertainty: fed * ground.uncertainty }, blindTo: 'a wrong width' }
    : { name: BY_WHEEL, amount: { value: fed, standardUncertainty: fed * ground.uncertainty }, blindTo: 'a wrong wheel; a wrong width' }];
  const wheel = totalOf(applied.map(({ wheelArea }) => wheelArea ?? 0));
  if (ground.route === 'gnss' && wheel > 0) parts.push({ name: BY_WHEEL, amount: { value: wheel, standardUncertainty: wheel * Math.hypot(WHEEL, WIDTH) }, blindTo: 'a wrong wheel; a wrong width' });
  const onAll = areaIn(ground.best, [{ start: 0, end: ground.best.length }], feedingMask(day)) / whole;
  if (covered !== undefined && covered.value > 0 && onAll >= ALL_OVER) {
    const value = covered.value * 1e4 * (fed / whole);
    parts.push({ name: 'covered area', amount: { value, standardUncertainty: value * Math.hypot((covered.high - covered.low) / 2 / 1.96 / covered.value, WIDTH) }, blindTo: 'what was sown twice on purpose; a wrong width' });
  }
  return parts;
}

/** kg: what the tank held first, plus tickets, less what was left; only when every load was booked and the zero stood. */
function byTickets({ story, scale, charges }: ProductDay): Estimate | undefined {
  const { matched, fillsAlone, ticketsAlone } = story.books;
  const [first, last] = [charges[0]?.blocks[0], charges.at(-1)?.blocks.at(-1)];
  if (matched.length === 0 || fillsAlone.length > 0 || ticketsAlone.length > 0 || story.moves.length > 0 || story.lostAt !== undefined || first === undefined || last === undefined) return undefined;
  const loads = matched.filter(({ fills }) => fills.every(({ start }) => start >= first.start));
  const own = (first.mass - last.mass) / scale.ratio;
  return {
    value: totalOf(loads.map(({ ticketMass }) => ticketMass)) + own,
    standardUncertainty: Math.hypot(...loads.map(({ ticketUncertainty }) => ticketUncertainty), Math.SQRT2 * READING, UNCHECKED_SCALE * own),
  };
}

/** kg by the seeds that the sensors saw. */
function byCounts({ counts, track, product }: ProductDay, worked: readonly Applied[]): Estimate | undefined {
  if (counts === undefined || track.feed === undefined || product?.seedMass === undefined) return undefined;
  const turnsPerSecond = median(track.feed.filter((turns) => turns > 0));
  let mass = 0;
  let blind = 0;
  for (const { regime } of worked) {
    const perTurn = countsPerTurn(counts, track.feed, regime.charges.flatMap(({ stretches }) => stretches)).filter(Number.isFinite);
    if (perTurn.length < counts.runs.length / 2) return undefined;
    const mean = totalOf(perTurn) / perTurn.length;
    /* A sensor is blind for a moment after each seed, so it counts less than in proportion; nobody knows for how long. */
    const unblinded = (seconds: number): number => deadTimeCorrection(mean * turnsPerSecond, seconds) / (mean * turnsPerSecond);
    const own = mean * unblinded(DEAD_TIME.likely) * counts.runs.length * regime.turns * product.seedMass;
    mass += own;
    blind += (own * (unblinded(DEAD_TIME.longest) - unblinded(0))) / unblinded(DEAD_TIME.likely) / (2 * Math.sqrt(3));
  }
  const value = mass / SEEN;
  return { value, standardUncertainty: Math.hypot(value * SEEN_UNCERTAINTY, value * SEED_MASS, blind / SEEN) };
}
