import type { ProductSummary } from './day.ts';
import type { RateView } from './day-views.ts';
import type { Interval } from './span.ts';

/** One way of knowing the rate; kg/m². Without an interval it is what a device claims, not a measurement of ours. */
export interface Route {
  readonly mass: string;
  readonly area: string;
  readonly rate: Interval;
  readonly hasInterval: boolean;
  readonly blindTo?: string;
}

/** The routes of the summary; from an older summary what can be made of it. Last the meter's own claim over GNSS area. */
export function routesOf(product: ProductSummary, over: RateView | undefined): readonly Route[] {
  const perSquareMetre = ({ value, low, high }: Interval): Interval => ({ value: value * 1e-4, low: low * 1e-4, high: high * 1e-4 });
  if (product.routes !== undefined) return product.routes.map(({ kgPerHa, ...route }) => ({ ...route, rate: perSquareMetre(kgPerHa), hasInterval: true }));
  const scale: Route[] = product.appliedKgPerHa === undefined ? [] : [{ mass: 'tank scale and fills', area: 'GNSS distance × width', rate: perSquareMetre(product.appliedKgPerHa), hasInterval: true, blindTo: 'a wrong scale span, a missed fill' }];
  return [...scale, ...meterRoute(over)];
}

function meterRoute(over: RateView | undefined): readonly Route[] {
  if (over?.total === undefined || over.massPerTurn === undefined || over.total.area === 0) return [];
  const value = over.total.mass / over.total.area;
  return [{
    mass: `meter turns × ${over.massPerTurn.from} mass per turn`, area: 'GNSS distance × width', rate: { value, low: value, high: value }, hasInterval: false,
    ...(over.massPerTurn.from === 'entered' ? { blindTo: 'a wrong mass per turn' } : {}),
  }];
}

export type Standing = 'within' | 'under' | 'over' | 'cannot tell';

/** ±5 % of the intended rate is the line at which to adjust (trade.md c.5); an interval across the line cannot tell. */
export const TOLERANCE = 0.05;

export function standingOf({ low, high }: Interval, target: number): Standing {
  if (high < target * (1 - TOLERANCE)) return 'under';
  if (low > target * (1 + TOLERANCE)) return 'over';
  return low >= target * (1 - TOLERANCE) && high <= target * (1 + TOLERANCE) ? 'within' : 'cannot tell';
}
