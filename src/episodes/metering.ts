import type { Span } from '../../shared/span.ts';
import { quantile } from '../series/robust.ts';
import { hysteresisSpans } from '../series/spans.ts';
import { differences } from './motion.ts';
import type { Timeline } from './timeline.ts';

/** Turning: above this share of the meter's usual speed, or of this many rpm, whichever is more; standing below half of it. */
const ENTER_SHARE = 0.05;
const ENTER_RPM = 0.6;
/** A coarse counter shows turns only now and then: its speed is taken over this many seconds either side. */
const REACH = 2;

/** Where the meter's shaft turns, by its speed, else by its counter. */
export function meteringSpans(timeline: Timeline, meter: string): readonly Span[] {
  const rpm = meterSpeed(timeline, meter);
  if (rpm === undefined) return [];
  const usual = quantile(rpm.filter((each) => each > ENTER_RPM), 0.75);
  const enter = Math.max(ENTER_RPM, Number.isNaN(usual) ? 0 : ENTER_SHARE * usual);
  const edges = Float64Array.from({ length: rpm.length + 1 }, (_, k) => k);
  return hysteresisSpans(edges, [...rpm, Number.NaN], { enter, leave: enter / 2, side: 'above' });
}

/** rpm per second of the day; NaN = unknown, undefined = not logged. */
export function meterSpeed(timeline: Timeline, meter: string): Float64Array | undefined {
  const speed = timeline.mean(`meter.${meter}.speed`);
  if (speed !== undefined) return speed;
  const turns = timeline.counter(`meter.${meter}.turns`);
  if (turns === undefined) return undefined;
  const each = differences(turns, 60);
  return each.map((_, k) => {
    const from = Math.max(0, k - REACH);
    const to = Math.min(each.length, k + REACH + 1);
    return (((turns[to] as number) - (turns[from] as number)) * 60) / (to - from);
  });
}
