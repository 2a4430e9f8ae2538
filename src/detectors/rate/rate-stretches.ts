import type { RateStretch } from '../../../shared/day.ts';
import type { Span } from '../../../shared/span.ts';
import type { Timeline } from '../../episodes/timeline.ts';
import { planeAround } from '../../field/plane.ts';
import { combineProduct } from '../../series/uncertainty.ts';
import { feedingMask, type Applied } from './applied.ts';
import { resultOf } from './per-turn.ts';
import type { ProductDay } from './product-day.ts';
import { areaIn, type WorkedGround } from './worked-ground.ts';

/** m; fields lie further apart than this, and passes of one field nearer (widest drills are 24 m). */
const CELL = 50;
/** m²; less is a corner driven by the way. */
const LEAST_AREA = 1000;

/** What went in between one load and the next. */
export function rateByFill(day: ProductDay, applied: readonly Applied[], ground: WorkedGround): readonly RateStretch[] {
  const fed = feedingMask(day);
  return day.charges.flatMap((charge, i) => {
    const own = applied.find(({ regime }) => regime.charges.includes(charge));
    return own === undefined ? [] : stretchOf(`load ${i + 1}`, charge, areaIn(ground.best, [charge], fed), charge.turns, own, ground);
  });
}

/** What went in on each field: places worked that touch each other within about 50 m. */
export function rateByField(day: ProductDay, applied: readonly Applied[], ground: WorkedGround, timeline: Timeline): readonly RateStretch[] {
  const fields = fieldOfSeconds(ground, timeline);
  const { feed } = day.track;
  if (fields === undefined || feed === undefined) return [];
  const fed = feedingMask(day);
  const found = new Map<number, { start: number; end: number; area: number; turns: number; byRegime: Map<Applied, number> }>();
  let last = -1;
  for (let k = 0; k < fields.length; k++) {
    if ((fields[k] as number) >= 0) last = fields[k] as number;
    if (last < 0 || fed[k] !== 1) continue;
    const one = found.get(last) ?? { start: k, end: k, area: 0, turns: 0, byRegime: new Map<Applied, number>() };
    found.set(last, one);
    const area = ground.best[k] as number;
    const turns = feed[k] as number;
    one.end = k + 1;
    if (area > 0) one.area += area;
    if (!(turns > 0)) continue;
    one.turns += turns;
    const regime = applied.find((each) => k >= each.regime.start && k < each.regime.end);
    if (regime !== undefined) one.byRegime.set(regime, (one.byRegime.get(regime) ?? 0) + turns);
  }
  return [...found.values()].filter(({ area }) => area >= LEAST_AREA).flatMap(({ start, end, area, turns, byRegime }, i) => {
    const [most] = [...byRegime].toSorted((a, b) => b[1] - a[1]);
    /* A field over which kg per turn changed has the mean of its parts. */
    const mean = [...byRegime].reduce((sum, [each, own]) => sum + each.perTurn.value * own, 0) / [...byRegime.values()].reduce((sum, own) => sum + own, 0);
    return most === undefined ? [] : stretchOf(`field ${i + 1}`, { start, end }, area, turns, { ...most[0], perTurn: { ...most[0].perTurn, value: mean } }, ground);
  });
}

function stretchOf(name: string, { start, end }: Span, area: number, turns: number, { perTurn }: Applied, ground: WorkedGround): readonly RateStretch[] {
  if (!(area > 0) || !(turns > 0)) return [];
  const mass = combineProduct([perTurn, { value: turns, standardUncertainty: 0 }]);
  const rate = resultOf(combineProduct([mass, { value: area, standardUncertainty: area * ground.uncertainty, power: -1 }]));
  const kilograms = resultOf(mass);
  return [{
    name, start, end, areaHa: area / 1e4,
    appliedKgPerHa: { value: rate.value * 1e4, low: Math.max(0, rate.low * 1e4), high: rate.high * 1e4 },
    dispensedKg: { value: kilograms.value, low: Math.max(0, kilograms.low), high: kilograms.high },
  }];
}

/** Number of the field in each second of work, in the order they were begun; −1 elsewhere. `undefined` without positions. */
function fieldOfSeconds({ best }: WorkedGround, timeline: Timeline): Int32Array | undefined {
  const [latitude, longitude] = [timeline.mean('gnss.lat'), timeline.mean('gnss.lon')];
  const plane = latitude === undefined || longitude === undefined ? undefined : planeAround(latitude, longitude);
  if (latitude === undefined || longitude === undefined || plane === undefined) return undefined;
  const cellOf = new Map<string, number[]>();
  for (let k = 0; k < best.length; k++) {
    if (!((best[k] as number) > 0)) continue;
    const [east, north] = plane.toPlane(latitude[k] as number, longitude[k] as number);
    if (!Number.isFinite(east + north)) continue;
    const key = `${Math.floor(east / CELL)} ${Math.floor(north / CELL)}`;
    const seconds = cellOf.get(key);
    if (seconds === undefined) cellOf.set(key, [k]);
    else seconds.push(k);
  }
  const result = new Int32Array(best.length).fill(-1);
  const seen = new Set<string>();
  let field = 0;
  for (const first of cellOf.keys()) {
    if (seen.has(first)) continue;
    seen.add(first);
    for (const queue = [first]; queue.length > 0; ) {
      const key = queue.pop() as string;
      for (const k of cellOf.get(key) ?? []) result[k] = field;
      const [x = 0, y = 0] = key.split(' ').map(Number);
      for (let dx = -1; dx <= 1; dx++) {
        for (let dy = -1; dy <= 1; dy++) {
          const next = `${x + dx} ${y + dy}`;
          if (!cellOf.has(next) || seen.has(next)) continue;
          seen.add(next);
          queue.push(next);
        }
      }
    }
    field++;
  }
  return result;
}
