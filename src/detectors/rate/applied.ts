import type { Span } from '../../../shared/span.ts';
import type { Timeline } from '../../episodes/timeline.ts';
import { combineProduct, type Estimate } from '../../series/uncertainty.ts';
import { truePerTurn } from './per-turn.ts';
import { stoppedTurns, turnsIn, type ProductDay } from './product-day.ts';
import type { Regime } from './regimes.ts';
import { areaIn, type WorkedGround } from './worked-ground.ts';

/** What one part of the day put into the ground, by the best of every route. Masses kg, areas m², rates kg/m². */
export interface Applied {
  readonly regime: Regime;
  readonly perTurn: Required<Estimate>;
  /** Of the turns that were logged. */
  readonly mass: Required<Estimate>;
  /** While the meter fed, stops left out. */
  readonly area?: number;
  readonly wheelArea?: number;
  readonly rate?: Required<Estimate>;
  /** What was ordered on that area: by the controller's own target, else by the job sheet. */
  readonly ordered?: { readonly rate: number; readonly by: 'controller' | 'sheet' };
  /** Applied ÷ ordered. */
  readonly ratio?: Required<Estimate>;
}

/** s by which feeding may lead or trail the area it belongs to: the meter starts up, the delay runs. */
const SLACK = 3;

export function appliedIn(day: ProductDay, regime: Regime, ground: WorkedGround | undefined, timeline: Timeline): Applied {
  const perTurn = truePerTurn(day, regime.line, regime.charges, timeline);
  const mass = combineProduct([perTurn, { value: regime.turns, standardUncertainty: 0 }]);
  if (ground === undefined) return { regime, perTurn, mass };
  const fed = feedingMask(day);
  const area = areaIn(ground.best, [regime], fed);
  if (!(area > 0)) return { regime, perTurn, mass };
  const wheelArea = ground.wheel === undefined ? undefined : areaIn(ground.wheel, [regime], fed);
  const rate = combineProduct([mass, { value: area, standardUncertainty: area * ground.uncertainty, power: -1 }]);
  const ordered = orderedOn(day, regime, ground, fed);
  return {
    regime, perTurn, mass, area, rate,
    ...(wheelArea === undefined ? {} : { wheelArea }),
    ...(ordered === undefined ? {} : { ordered, ratio: combineProduct([rate, { value: ordered.rate, standardUncertainty: 0, power: -1 }]) }),
  };
}

/** Seconds that belong to this product: its meter feeds, or just did, and it is not one of the stops. */
export function feedingMask({ track: { feed }, stops }: Pick<ProductDay, 'track' | 'stops'>): Uint8Array {
  const mask = new Uint8Array(feed?.length ?? 0);
  if (feed === undefined) return mask;
  for (let k = 0; k < feed.length; k++) {
    if ((feed[k] as number) > 0) mask.fill(1, Math.max(0, k - SLACK), Math.min(mask.length, k + SLACK + 1));
  }
  for (let k = 0; k < feed.length; k++) if (Number.isNaN(feed[k] as number)) mask[k] = 0;
  for (const { start, end } of stops) mask.fill(0, Math.max(0, Math.round(start)), Math.max(0, Math.round(end)));
  return mask;
}

function orderedOn({ commanded, product }: ProductDay, span: Span, { best }: WorkedGround, fed: Uint8Array): Applied['ordered'] {
  if (commanded !== undefined) {
    let kilograms = 0;
    let known = 0;
    let all = 0;
    for (let k = Math.round(span.start); k < Math.min(best.length, Math.round(span.end)); k++) {
      const area = best[k] as number;
      if (fed[k] !== 1 || !(area > 0)) continue;
      all += area;
      const target = commanded[k] as number;
      if (!(target > 0)) continue;
      known += area;
      kilograms += target * area;
    }
    if (known > 0.8 * all && known > 0) return { rate: kilograms / known, by: 'controller' };
  }
  return product?.targetRate === undefined ? undefined : { rate: product.targetRate, by: 'sheet' };
}

/** Turns after a load cell was lost: the scale no longer follows them, the meter goes on. */
export function blindTurns({ track, story, stops }: ProductDay): number {
  const { lostAt } = story;
  if (lostAt === undefined) return 0;
  const after = { start: lostAt, end: track.mass.length };
  return turnsIn(track, after) - stoppedTurns(track, stops, after);
}
