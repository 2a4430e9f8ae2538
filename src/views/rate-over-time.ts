import type { RateClass, RateClassName, RateView, PassRate } from '../../shared/day-views.ts';
import type { Measurement } from '../../shared/finding.ts';
import type { Product, Setup } from '../../shared/setup.ts';
import type { Episodes } from '../episodes/episodes.ts';
import type { Timeline } from '../episodes/timeline.ts';
import { median } from '../series/robust.ts';
import { maskOf } from '../series/spans.ts';

/** s over which meter turns and area are compared: 10–30 s is what a rate map can honestly show (trade.md c.5: along-row rate, 10 s). */
const WINDOW = 15;
/** m² below which a second was hardly worked. */
const LEAST_AREA = 1;
const TIGHT = 0.05;
const LOOSE = 0.1;

/** One product's rate through the day; `rate` is kg/m² in each second of work, NaN elsewhere. */
export interface RateOverTime {
  readonly view: RateView;
  readonly rate: Float64Array;
}

interface Source {
  readonly setup: Setup;
  readonly timeline: Timeline;
  readonly episodes: Pick<Episodes, 'working' | 'passes'>;
  readonly measurements: readonly Measurement[];
}

export function ratesOverTime(source: Source): readonly RateOverTime[] {
  const { setup, timeline } = source;
  const area = areaPerSecond(source);
  return setup.job.products.map((product) => {
    const name = product.name === undefined ? {} : { name: product.name };
    const target = targetOf(product, source);
    const base = { tank: product.tank, ...name, ...(target === undefined ? {} : { target }) };
    const none = (why: string): RateOverTime => ({ view: { ...base, why, classes: [], passes: [] }, rate: new Float64Array(timeline.length).fill(Number.NaN) });
    if (area === undefined) return none('The setup gives no working width, or no speed was logged: the area is not known.');
    const meter = setup.machine.tanks.find(({ id }) => id === product.tank)?.meter ?? product.tank;
    const turns = turnsPerSecond(timeline, meter);
    if (turns === undefined) return none(`Meter ${meter} was not logged.`);
    const massPerTurn = massPerTurnOf(product, meter, source);
    if (massPerTurn === undefined) return none('The mass per turn is neither measured nor entered in the setup.');
    const rate = rateOf(turns, area, massPerTurn.value);
    return { view: { ...base, massPerTurn, total: totalOf(rate, area), classes: target === undefined ? [] : classesOf(rate, area, target), passes: passRates(source, rate, area) }, rate };
  });
}

/** m² sown in each second by GNSS speed (wheel speed where there is none), width and the share of sections on; 0 out of work. */
function areaPerSecond({ setup, timeline, episodes }: Source): Float64Array | undefined {
  const speed = timeline.mean('gnss.speed') ?? timeline.mean('wheel.speed');
  const { workingWidth, towers } = setup.machine;
  if (speed === undefined || workingWidth === undefined) return undefined;
  const states = towers.flatMap(({ section, runs }) => (section === undefined ? [] : [{ on: timeline.held(`section.${section}.on`), runs: runs.length }]));
  const all = states.reduce((sum, { runs }) => sum + runs, 0);
  const working = maskOf(episodes.working, timeline.length);
  return speed.map((v, k) => {
    if (working[k] !== 1 || Number.isNaN(v)) return 0;
    const off = states.reduce((sum, { on, runs }) => sum + (on !== undefined && (on[k] as number) < 0.5 ? runs : 0), 0);
    return v * workingWidth * (all === 0 ? 1 : 1 - off / all);
  });
}

function turnsPerSecond(timeline: Timeline, meter: string): Float64Array | undefined {
  const turns = timeline.counter(`meter.${meter}.turns`);
  if (turns !== undefined) return Float64Array.from({ length: timeline.length }, (_, k) => (turns[k + 1] as number) - (turns[k] as number));
  return timeline.mean(`meter.${meter}.speed`)?.map((rpm) => rpm / 60);
}

function massPerTurnOf(product: Product, meter: string, { setup, measurements }: Source): RateView['massPerTurn'] {
  const subjects = new Set([`tank.${product.tank}`, `meter.${meter}`]);
  const measured = measurements.find(({ name, subject }) => name === 'meter.mass-per-turn' && subjects.has(subject));
  if (measured !== undefined) return { value: measured.value, from: 'measured' };
  const entered = setup.machine.meters.find(({ id }) => id === meter)?.massPerTurn;
  return entered === undefined ? undefined : { value: entered, from: 'entered' };
}

function targetOf(product: Product, { setup, timeline }: Source): number | undefined {
  if (product.targetRate !== undefined) return product.targetRate;
  const meter = setup.machine.tanks.find(({ id }) => id === product.tank)?.meter ?? product.tank;
  const logged = timeline.held(`meter.${meter}.target`);
  const usual = logged === undefined ? Number.NaN : median([...logged].filter((value) => value > 0));
  return Number.isNaN(usual) ? undefined : usual;
}

/** kg/m² over the window round each second of work. */
function rateOf(turns: Float64Array, area: Float64Array, massPerTurn: number): Float64Array {
  const rate = new Float64Array(area.length).fill(Number.NaN);
  const half = WINDOW >> 1;
  let sumTurns = 0;
  let sumArea = 0;
  let known = 0;
  const add = (k: number, sign: 1 | -1): void => {
    const each = turns[k] as number;
    if (Number.isNaN(each) || (area[k] as number) < LEAST_AREA) return;
    sumTurns += sign * each;
    sumArea += sign * (area[k] as number);
    known += sign;
  };
  for (let k = 0; k < Math.min(half, area.length); k++) add(k, 1);
  for (let k = 0; k < area.length; k++) {
    if (k + half < area.length) add(k + half, 1);
    if (k - half - 1 >= 0) add(k - half - 1, -1);
    if ((area[k] as number) >= LEAST_AREA && known >= half) rate[k] = (sumTurns * massPerTurn) / sumArea;
  }
  return rate;
}

function totalOf(rate: Float64Array, area: Float64Array): NonNullable<RateView['total']> {
  const total = { area: 0, mass: 0 };
  for (let k = 0; k < rate.length; k++) {
    if (Number.isNaN(rate[k] as number)) continue;
    total.area += area[k] as number;
    total.mass += (rate[k] as number) * (area[k] as number);
  }
  return total;
}

function classesOf(rate: Float64Array, area: Float64Array, target: number): readonly RateClass[] {
  const sums: Record<RateClassName, number> = { under10: 0, under5: 0, within5: 0, over5: 0, over10: 0 };
  for (let k = 0; k < rate.length; k++) {
    const off = (rate[k] as number) / target - 1;
    if (Number.isNaN(off)) continue;
    const side = off < 0 ? 'under' : 'over';
    sums[Math.abs(off) <= TIGHT ? 'within5' : Math.abs(off) <= LOOSE ? `${side}5` as const : `${side}10` as const] += area[k] as number;
  }
  return (['under10', 'under5', 'within5', 'over5', 'over10'] as const).map((name) => ({ name, area: sums[name] }));
}

function passRates({ episodes, timeline }: Source, rate: Float64Array, area: Float64Array): readonly PassRate[] {
  return episodes.passes.map(({ start, end, length }): PassRate => {
    let covered = 0;
    let mass = 0;
    let rated = 0;
    for (let k = Math.max(0, Math.round(start)); k < Math.min(timeline.length, Math.round(end)); k++) {
      const each = area[k] as number;
      covered += each;
      if (Number.isNaN(rate[k] as number)) continue;
      mass += (rate[k] as number) * each;
      rated += each;
    }
    return { start, end, length, area: covered, speed: length / Math.max(1, end - start), ...(rated > 0 ? { rate: mass / rated } : {}) };
  });
}
