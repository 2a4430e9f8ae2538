import type { Channel } from '../../../shared/channel.ts';
import type { Product } from '../../../shared/setup.ts';
import type { Span } from '../../../shared/span.ts';
import { median } from '../../series/robust.ts';
import { intersectSpans, maskOf, spansWhere, subtractSpans, unionSpans } from '../../series/spans.ts';
import type { DetectorContext } from '../detector.ts';
import type { FanOptions } from './options.ts';

/** One fan's day, second by second. */
export interface FanDay {
  readonly id: string;
  readonly channel: Channel;
  /** rpm */
  readonly speed: Float64Array;
  /** rpm commanded; undefined = not logged. */
  readonly target: Float64Array | undefined;
  /** rpm it must not fall under, carried over the seconds in which nothing is metered. */
  readonly floor: Float64Array;
  /** `setup` = entered for the product, `target` = a share of the command, because nothing was entered. */
  readonly floorFrom: 'setup' | 'target';
  /** Product goes through it, the machine works, and it is not just being started. */
  readonly judged: readonly Span[];
  /** Its speed when it runs, rpm, median. */
  readonly usual: number;
  /** Pressure channels of the tanks it feeds. */
  readonly pressures: readonly string[];
}

export type FanContext = Pick<DetectorContext<string, FanOptions>, 'channel' | 'channels' | 'timeline' | 'episodes' | 'setup' | 'options'>;

/** `idle` = never turned, or carries nothing that was metered; `no-floor` = neither floor nor command is known. */
export type FanOrNot = FanDay | { readonly id: string; readonly why: 'idle' | 'no-floor' };

export function fanDay(context: FanContext, channel: Channel): FanOrNot {
  const { timeline, episodes, setup, options } = context;
  const id = channel.id.split('.')[1] ?? '';
  const speed = timeline.mean(channel.id);
  const running = speed?.filter((rpm) => rpm > SLOWEST) ?? new Float64Array();
  if (speed === undefined || running.length === 0) return { id, why: 'idle' };
  const target = context.channel(`fan.${id}.target`) === undefined ? undefined : timeline.held(`fan.${id}.target`);
  /* A sensor that counts double must not be what is usual. */
  const asCommanded = speed.filter((rpm, k) => rpm > SLOWEST && Math.abs(rpm / (target?.[k] ?? Number.NaN) - 1) < 0.25);
  const usual = median(asCommanded.length > 0 ? asCommanded : running);
  const products = productsOf(setup.job.products, id);
  const metered = meteredSpans(context, products);
  const working = intersectSpans(episodes.working, unionSpans(...metered.map(({ spans }) => spans)));
  if (working.length === 0) return { id, why: 'idle' };
  const entered = products.some(({ fanFloor }) => fanFloor !== undefined);
  if (!entered && target === undefined) return { id, why: 'no-floor' };
  return {
    id, channel, speed, target, usual,
    floor: carried(entered ? enteredFloor(metered, timeline.length) : speed.map((_, k) => ((target?.[k] ?? 0) > SLOWEST ? options.shareOfTarget * (target?.[k] as number) : Number.NaN))),
    floorFrom: entered ? 'setup' : 'target',
    judged: subtractSpans(working, startsOf(speed, usual, options)),
    pressures: [...new Set(products.map(({ tank }) => `tank.${tank}.pressure`))].filter((name) => context.channel(name) !== undefined),
  };
}

export const isFanDay = (fan: FanOrNot): fan is FanDay => !('why' in fan);

/** rpm; slower is standing still. */
const SLOWEST = 300;

/** The products a fan carries; when no product names a fan, all may. */
function productsOf(products: readonly Product[], fan: string): readonly Product[] {
  return products.some((product) => product.fan !== undefined) ? products.filter((product) => product.fan === fan) : products;
}

interface Metered { readonly floor: number | undefined; readonly spans: readonly Span[] }

/** When each product was metered. Without products every meter counts; without meters all work does. */
function meteredSpans({ episodes, setup, channels }: FanContext, products: readonly Product[]): readonly Metered[] {
  const logged = [...new Set(channels('meter.*.*').map(({ id }) => id.split('.')[1] ?? ''))];
  const meters = setup.job.products.length === 0
    ? logged.map((meter) => ({ meter, floor: undefined }))
    : products.map(({ tank, fanFloor }) => ({ meter: setup.machine.tanks.find(({ id }) => id === tank)?.meter ?? tank, floor: fanFloor }));
  if (logged.length === 0) return [{ floor: highest(meters.map(({ floor }) => floor)), spans: episodes.working }];
  return meters.map(({ meter, floor }) => ({ floor, spans: episodes.metering(meter) }));
}

function highest(floors: readonly (number | undefined)[]): number | undefined {
  const known = floors.filter((floor) => floor !== undefined);
  return known.length === 0 ? undefined : Math.max(...known);
}

/** The highest floor of what is being metered in each second. */
function enteredFloor(metered: readonly Metered[], length: number): Float64Array {
  const floor = new Float64Array(length).fill(Number.NaN);
  for (const { floor: own, spans } of metered) {
    if (own === undefined) continue;
    const mask = maskOf(spans, length);
    for (let k = 0; k < length; k++) if (mask[k] === 1 && !((floor[k] as number) >= own)) floor[k] = own;
  }
  return floor;
}

/** Unknown seconds take the last known value, the first ones the first. */
function carried(values: Float64Array): Float64Array {
  let last = values.find(Number.isFinite) ?? Number.NaN;
  return values.map((value) => {
    if (Number.isFinite(value)) last = value;
    return last;
  });
}

/** s before that speed in which a fan that was started is already coming up. */
const COMING_UP = 10;

/** From every start of the fan until it has had its time to come up. */
function startsOf(speed: Float64Array, usual: number, options: FanOptions): readonly Span[] {
  const standing = spansWhere(speed.map((rpm) => (rpm < options.standing * usual ? 1 : 0)));
  return standing.filter(({ end }) => end < speed.length).map(({ end }) => ({ start: end - COMING_UP, end: end + options.runUp }));
}
