import type { DayView } from '../../../shared/api.ts';
import type { RateView } from '../../../shared/day-views.ts';
import { shownUnit, type UnitSystem } from '../../../shared/text.ts';
import { isDark } from '../../plot/palette.ts';
import { rampOf, type Ramp } from '../../plot/ramp.ts';
import type { Shade } from './map-painting.ts';

/** Half width of the rate's colours round its target. */
const RATE_REACH = 0.2;

/** What the ground can be coloured by, as the address holds it: '' plain, `rate:1`, or a channel's name. */
export interface ColourScale {
  readonly title: string;
  readonly unit: string;
  /** Shown units at the ends and the middle. */
  readonly low: number;
  readonly high: number;
  readonly ramp: Ramp;
  readonly shade: Shade;
}

export function colourScale(by: string, value: Float32Array, view: DayView, rates: readonly RateView[] | undefined, units: UnitSystem): ColourScale | undefined {
  if (by.startsWith('rate:')) {
    const rate = rates?.find(({ tank }) => tank === by.slice(5));
    const product = view.summary.products.find(({ tank }) => tank === by.slice(5));
    const sheet = product?.targetKgPerHa === undefined ? undefined : product.targetKgPerHa * 1e-4;
    const target = rate?.target ?? sheet ?? quantileOf(value, 0.5);
    if (target === undefined) return undefined;
    return scaled(`applied rate${product?.name === undefined ? '' : ` of ${product.name}`}`, 'kg/m²', value, [target * (1 - RATE_REACH), target * (1 + RATE_REACH)], rampOf('two-sided', isDark()), units);
  }
  const channel = view.channels.find(({ id }) => id === by);
  const [low, high] = [quantileOf(value, 0.02), quantileOf(value, 0.98)];
  if (channel === undefined || low === undefined || high === undefined) return undefined;
  return scaled(by, channel.unit, value, [low, high > low ? high : low + Math.max(1e-6, Math.abs(low) * 0.01)], rampOf('one-sided', isDark()), units);
}

function scaled(title: string, unit: string, value: Float32Array, [low, high]: readonly [number, number], ramp: Ramp, units: UnitSystem): ColourScale {
  const shown = shownUnit(unit, units);
  const share = value.map((each) => (each - low) / (high - low));
  return { title, unit: shown.label, low: shown.convert(low), high: shown.convert(high), ramp, shade: { share, ramp } };
}

function quantileOf(values: Float32Array, share: number): number | undefined {
  const known = values.filter((each) => !Number.isNaN(each)).sort();
  return known[Math.round(share * (known.length - 1))];
}
