import type { Span } from '../../../shared/span.ts';
import { median, medianAbsoluteDeviation, quantile } from '../../series/robust.ts';
import { maskOf } from '../../series/spans.ts';
import type { TankFlowContext } from './tank-flow-case.ts';

/** A tank's pressure against the speed of its fan. */
export interface TankPressure {
  readonly tank: string;
  readonly fan: string;
  readonly channel: string;
  /** Pa per second cell, rpm likewise. */
  readonly pressure: Float64Array;
  readonly speed: Float64Array;
  /** Pa with the fans at rest, when they rested long enough. */
  readonly rest?: { readonly pascal: number; readonly halfWidth: number; readonly seconds: number; readonly span: Span };
  /** Pa at work, usual. */
  readonly working: number;
  /** Pieces of time with what the pressure is of the usual at that speed (p ∝ rpm²). */
  readonly pieces: readonly { readonly start: number; readonly end: number; readonly share: number }[];
  /** From when to when it stayed low. */
  readonly low?: Span & { readonly ratio: number; readonly low: number; readonly high: number };
}

export function tankPressures(context: TankFlowContext): readonly TankPressure[] {
  return context.channels('tank.*.pressure').flatMap(({ id }) => {
    const tank = id.split('.')[1] ?? '';
    const fan = context.setup.job.products.find((product) => product.tank === tank)?.fan ?? fanFollowed(id, context);
    const speedId = `fan.${fan ?? ''}.speed`;
    const pressure = context.timeline.mean(id);
    const speed = context.channel(speedId) === undefined ? undefined : context.timeline.mean(speedId);
    return pressure === undefined || speed === undefined ? [] : [pressureOf(tank, fan ?? '', id, pressure, speed, context)];
  });
}

/** A tank whose fan nobody named: the fan whose squared speed its pressure follows, if it follows one clearly better than the others. */
function fanFollowed(pressureId: string, { channels, timeline }: TankFlowContext): string | undefined {
  const pressure = timeline.mean(pressureId);
  const fans = channels('fan.*.speed').flatMap(({ id }) => {
    const speed = timeline.mean(id);
    if (speed === undefined || pressure === undefined) return [];
    const ratios: number[] = [];
    for (let k = 0; k < speed.length; k += 13) {
      const ratio = (pressure[k] as number) / (speed[k] as number) ** 2;
      if ((speed[k] as number) > 1000 && Number.isFinite(ratio)) ratios.push(ratio);
    }
    return ratios.length < 30 ? [] : [{ fan: id.split('.')[1] ?? '', scatter: medianAbsoluteDeviation(ratios) / median(ratios) }];
  });
  const [best, second] = fans.toSorted((a, b) => a.scatter - b.scatter);
  return best !== undefined && (second === undefined || best.scatter < 0.6 * second.scatter) ? best.fan : undefined;
}

function pressureOf(tank: string, fan: string, channel: string, pressure: Float64Array, speed: Float64Array, context: TankFlowContext): TankPressure {
  const { pieceSeconds, fanShare, low: lowest, leastSeconds } = context.options.pressure;
  const rest = restOf(pressure, context);
  const zero = rest?.pascal ?? 0;
  const usualSpeed = quantile(speed.filter((rpm) => rpm > 500), 0.5);
  const working = maskOf(context.episodes.working, pressure.length);
  const raw: { start: number; end: number; value: number; pascal: number }[] = [];
  for (let from = 0; from + pieceSeconds <= pressure.length; from += pieceSeconds) {
    const values: number[] = [];
    const pascals: number[] = [];
    for (let k = from; k < from + pieceSeconds; k++) {
      const rpm = speed[k] as number;
      const pascal = pressure[k] as number;
      if (working[k] !== 1 || !(rpm > fanShare * usualSpeed) || !Number.isFinite(pascal)) continue;
      values.push((pascal - zero) / rpm ** 2);
      pascals.push(pascal);
    }
    if (values.length >= pieceSeconds / 4) raw.push({ start: from, end: from + pieceSeconds, value: median(values), pascal: median(pascals) });
  }
  /* A leak lowers a part of the day; what it held at its best hours is what it can hold. */
  const usual = raw.length === 0 ? Number.NaN : quantile(raw.map(({ value }) => value), 0.85);
  const pieces = raw.map(({ start, end, value }) => ({ start, end, share: value / usual }));
  const span = lowSpan(pieces, lowest, leastSeconds);
  const base = { tank, fan, channel, pressure, speed, working: raw.length === 0 ? Number.NaN : quantile(raw.map(({ pascal }) => pascal), 0.85), pieces, ...(rest === undefined ? {} : { rest }) };
  return span === undefined ? base : { ...base, low: { ...span, ...ratioIn(pieces, span) } };
}

/** The longest run of low pieces, single good ones between them allowed. */
function lowSpan(pieces: TankPressure['pieces'], lowest: number, leastSeconds: number): Span | undefined {
  let best: Span | undefined;
  let start = -1;
  let end = -1;
  let good = 0;
  const close = (): void => {
    if (start >= 0 && end - start >= leastSeconds && end - start > (best === undefined ? 0 : best.end - best.start)) best = { start, end };
    start = -1;
  };
  for (const piece of pieces) {
    if (piece.share < lowest) {
      if (start < 0) start = piece.start;
      end = piece.end;
      good = 0;
    } else if (start >= 0 && ++good > 1) close();
  }
  close();
  return best;
}

function ratioIn(pieces: TankPressure['pieces'], { start, end }: Span): { readonly ratio: number; readonly low: number; readonly high: number } {
  const inside = pieces.filter((piece) => piece.start >= start && piece.end <= end).map(({ share }) => share);
  const outside = pieces.filter((piece) => piece.end <= start || piece.start >= end).map(({ share }) => share);
  const before = outside.length < 3 ? 1 : median(outside);
  const ratio = median(inside) / before;
  const spread = Math.hypot(medianAbsoluteDeviation(inside) / Math.sqrt(inside.length), outside.length < 3 ? 0.05 : medianAbsoluteDeviation(outside) / Math.sqrt(outside.length));
  /* Gauge 2 % (trade.md a.3), the air's density over the day 2 %. */
  const half = 1.96 * Math.hypot(1.25 * spread, 0.028 * ratio);
  return { ratio, low: Math.max(0, ratio - half), high: ratio + half };
}

/** What the gauge shows when every fan has stood for a while. */
function restOf(pressure: Float64Array, { channels, timeline, options }: TankFlowContext): TankPressure['rest'] {
  const fans = channels('fan.*.speed').flatMap(({ id }) => timeline.mean(id) ?? []);
  const values: number[] = [];
  let [still, first, last] = [0, -1, 0];
  for (let k = 0; k < pressure.length; k++) {
    still = fans.every((rpm) => (rpm[k] as number) < options.pressure.stillRpm) ? still + 1 : 0;
    if (still <= options.pressure.stillSeconds || !Number.isFinite(pressure[k] as number)) continue;
    values.push(pressure[k] as number);
    if (first < 0) first = k;
    last = k + 1;
  }
  if (values.length < 60) return undefined;
  return { pascal: median(values), halfWidth: (1.96 * 1.25 * medianAbsoluteDeviation(values)) / Math.sqrt(values.length / 10), seconds: values.length, span: { start: first, end: last } };
}
