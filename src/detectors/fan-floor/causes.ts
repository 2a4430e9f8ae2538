import type { Span } from '../../../shared/span.ts';
import { median } from '../../series/robust.ts';
import { subtractSpans } from '../../series/spans.ts';
import type { FanContext, FanDay } from './fan-day.ts';
import type { LowStretch } from './low-stretches.ts';

/**
 * What went with the low speed. `command`: it was asked for. `cold-oil`: oil cold and warming, the fan came up with it.
 * `first-start`: the same without an oil temperature. `engine`: the engine lost speed as well. `lift`: right at a lift of
 * the tool. `supply`: command, engine and oil as usual.
 */
export type LowCause = 'command' | 'cold-oil' | 'first-start' | 'engine' | 'lift' | 'supply';

export interface CauseFacts {
  readonly cause: LowCause;
  /** K at start and end; NaN = not logged. */
  readonly oilBefore: number;
  readonly oilAfter: number;
  /** rpm meanwhile and otherwise; NaN = not logged. */
  readonly engine: number;
  readonly engineUsual: number;
}

/** s: the first start of the day that cold oil can explain. */
const WARMING_UP = 3600;

export function causeOf(context: FanContext, fan: FanDay, stretch: LowStretch): CauseFacts {
  const { timeline, episodes, options } = context;
  const oil = context.channel('oil.temperature') === undefined ? undefined : timeline.mean('oil.temperature');
  const engineRpm = context.channel('engine.speed') === undefined ? undefined : timeline.mean('engine.speed');
  const before = { start: stretch.start, end: Math.min(stretch.start + 60, stretch.end) };
  const after = { start: Math.max(stretch.end - 60, stretch.start), end: stretch.end };
  const elsewhere = subtractSpans(fan.judged, [stretch]);
  const facts = {
    oilBefore: medianIn(oil, [before]), oilAfter: medianIn(oil, [after]),
    engine: medianIn(engineRpm, stretch.parts), engineUsual: medianIn(engineRpm, elsewhere.length === 0 ? fan.judged : elsewhere),
  };
  return { ...facts, cause: decide() };

  function decide(): LowCause {
    if (medianIn(fan.target, stretch.parts) < medianIn(fan.floor, stretch.parts)) return 'command';
    /* Cold oil lets the fan come up little by little: higher at the end than at the beginning. */
    const rising = medianIn(fan.speed, [after]) > medianIn(fan.speed, [before]);
    if (rising && facts.oilBefore < options.coldOil && facts.oilAfter > facts.oilBefore + 1) return 'cold-oil';
    const missing = 1 - medianIn(fan.speed, stretch.parts) / fan.usual;
    const lost = 1 - facts.engine / facts.engineUsual;
    if (lost > options.engineDrop && lost > missing / 2) return 'engine';
    const firstStart = fan.speed.findIndex((rpm) => rpm > options.standing * fan.usual);
    if (rising && Number.isNaN(facts.oilBefore) && stretch.start - firstStart < WARMING_UP && stretch.end - stretch.start > 120) return 'first-start';
    const atLift = episodes.working.some(({ start, end }) => Math.abs(start - stretch.start) < 5 || Math.abs(end - stretch.start) < 5);
    return atLift && stretch.end - stretch.start < 2 * options.shortestLow ? 'lift' : 'supply';
  }
}

/** Median of the known seconds in the spans; NaN without any. */
export function medianIn(values: Float64Array | undefined, spans: readonly Span[]): number {
  if (values === undefined) return Number.NaN;
  const found: number[] = [];
  for (const { start, end } of spans) {
    for (let k = Math.max(0, Math.floor(start)); k < Math.min(end, values.length); k++) if (Number.isFinite(values[k] as number)) found.push(values[k] as number);
  }
  return median(found);
}

/**
 * Whether the tank pressure fell with the speed as the fan laws say (pressure ∝ speed²): then it is the air, not the
 * sensor. `unknown` without a pressure. A tank's share of its usual pressure, and what the speed lets expect.
 */
export function airAgrees(context: FanContext, fan: FanDay, spans: readonly Span[], wrong: readonly Span[]): 'yes' | 'no' | 'unknown' {
  const elsewhere = subtractSpans(fan.judged, [...spans, ...wrong]);
  if (elsewhere.length === 0) return 'unknown';
  for (const id of fan.pressures) {
    const pressure = context.timeline.mean(id);
    const seen = medianIn(pressure, spans) / medianIn(pressure, elsewhere);
    const speeds = medianIn(fan.speed, spans) / medianIn(fan.speed, elsewhere);
    if (!Number.isFinite(seen) || medianIn(pressure, elsewhere) < LEAST_PRESSURE) continue;
    const expected = speeds ** 2;
    if (Math.abs(seen - expected) < 0.4 * Math.abs(1 - expected)) return 'yes';
    if (Math.abs(seen - 1) < 0.4 * Math.abs(1 - expected)) return 'no';
  }
  return 'unknown';
}

/** Pa; less is a tank that holds no pressure to speak of. */
const LEAST_PRESSURE = 500;
