import type { Span } from '../../../shared/span.ts';
import { spansWhere } from '../../series/spans.ts';
import type { FanDay } from './fan-day.ts';
import type { FanOptions } from './options.ts';

/** Readings that a fan cannot have: double, half or nothing from one second to the next. */
export interface SensorJumps {
  readonly factor: 2 | 0.5 | 0;
  /** Long enough to count each by itself. */
  readonly stretches: readonly Span[];
  /** Too short for that: seconds that flicker. */
  readonly flickers: readonly Span[];
}

/** Share of what the fan should show; a fan takes 10–60 s to run down, so that nothing real jumps into these. */
const BANDS = [
  { factor: 2, low: 1.85, high: 2.15 },
  { factor: 0.5, low: 0.46, high: 0.54 },
  { factor: 0, low: -1, high: 0.02 },
] as const;

export function sensorJumps(fan: FanDay, options: FanOptions): readonly SensorJumps[] {
  const share = fan.speed.map((rpm, k) => {
    const wanted = fan.target === undefined ? fan.usual : fan.target[k] as number;
    return wanted > fan.usual / 2 ? rpm / wanted : Number.NaN;
  });
  return BANDS.map(({ factor, low, high }) => {
    const inBand = spansWhere(share.map((value) => (value > low && value < high ? 1 : 0)));
    /* No fan runs at double its command, however it got there. */
    const impossible = factor === 2 && fan.target !== undefined;
    const jumps = impossible ? inBand : jumpsInto(share, inBand);
    return {
      factor,
      stretches: jumps.filter(({ start, end }) => end - start >= options.shortestWrong),
      /* There and back within seconds. */
      flickers: jumps.filter(({ start, end }) => end - start < options.shortestWrong && (isNormal(share, end) || isNormal(share, end + 1))),
    };
  });
}

/** Spans entered from the normal speed in one leap, or from another such span without having been normal in between. */
function jumpsInto(share: Float64Array, inBand: readonly Span[]): readonly Span[] {
  const jumps: Span[] = [];
  for (const span of inBand) {
    const last = jumps.at(-1);
    const leapt = isNormal(share, span.start - 1) || isNormal(share, span.start - 2) || (span.start === 0 && isNormal(share, span.end));
    const goesOn = last !== undefined && !share.subarray(last.end, span.start).some((value) => Math.abs(value - 1) < 0.2);
    if (leapt || goesOn) jumps.push(span);
  }
  return jumps;
}

const isNormal = (share: Float64Array, k: number): boolean => Math.abs((share[k] ?? Number.NaN) - 1) < 0.2;
