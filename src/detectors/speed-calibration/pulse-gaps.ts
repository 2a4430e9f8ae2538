import type { Interval, Span } from '../../../shared/span.ts';
import { bootstrapInterval } from '../../series/bootstrap.ts';
import { median } from '../../series/robust.ts';
import { spansWhere } from '../../series/spans.ts';
import type { SpeedOptions } from './options.ts';
import { medianInPlace } from '../run-flow/typed-median.ts';
import { running } from './windows.ts';

/** Where the wheel stopped counting, or counted double, while the machine drove on. */
export interface PulseGaps {
  readonly missing: readonly Span[];
  readonly doubled: readonly Span[];
  /** m/s by GNSS in the seconds of the wheel's clock. */
  readonly ground: Float64Array;
}

export function pulseGaps(wheel: Float64Array, groundLate: Float64Array, lag: number, options: SpeedOptions): PulseGaps {
  const sums = running(groundLate);
  const ground = wheel.map((_, k) => sums.between(k + lag, k + 1 + lag));
  const share = wheel.map((way, k) => (isDriving(ground, k, options) ? way / (ground[k] as number) : Number.NaN));
  const usual = median(share.filter((value) => value > options.missingShare && value < options.doubledShare));
  const relative = share.map((value) => value / usual);
  const real = (span: Span): boolean => span.end - span.start > 2 * options.longestGap || isBetweenCounting(relative, span, options);
  return {
    ground,
    missing: spansWhere(relative.map((value) => (value < options.missingShare ? 1 : 0))).filter(real),
    doubled: spansWhere(relative.map((value) => (value > options.doubledShare ? 1 : 0))).filter(real),
  };
}

/** The seconds around one, used again for each. */
const AROUND = new Float64Array(9);

/** GNSS speed well above a crawl and no spike against the seconds around: starts, stops and jumps of the receiver do not count. */
function isDriving(ground: Float64Array, k: number, options: SpeedOptions): boolean {
  const here = ground[k] as number;
  if (!(here > options.slowest)) return false;
  let n = 0;
  let lowest = Number.POSITIVE_INFINITY;
  for (let i = Math.max(0, k - 4); i < Math.min(ground.length, k + 5); i++) {
    const speed = ground[i] as number;
    if (!Number.isFinite(speed)) continue;
    AROUND[n++] = speed;
    if (speed < lowest) lowest = speed;
  }
  return n >= 5 && lowest > options.slowest / 2 && Math.abs(here - medianInPlace(AROUND, n)) < 0.15 * here;
}

/** The wheel counted as it should within two seconds before and after. */
function isBetweenCounting(relative: Float64Array, { start, end }: Span, options: SpeedOptions): boolean {
  if (end - start > options.longestGap) return false;
  const counts = (k: number): boolean => Math.abs((relative[k] ?? Number.NaN) - 1) < 0.25;
  return (counts(start - 1) || counts(start - 2)) && (counts(end) || counts(end + 1));
}

/** Wheel ÷ GNSS over a stretch, driving seconds only; interval from its minutes. */
export function ratioOver(wheel: Float64Array, ground: Float64Array, span: Span, slowest: number): Interval {
  const minutes: { wheel: number; ground: number }[] = [];
  for (let k = Math.floor(span.start); k < span.end; k++) {
    const [way, true_] = [wheel[k] as number, ground[k] as number];
    if (!(true_ > slowest) || Number.isNaN(way)) continue;
    const index = Math.floor((k - span.start) / 60);
    const minute = (minutes[index] ??= { wheel: 0, ground: 0 });
    minute.wheel += way;
    minute.ground += true_;
  }
  const units = minutes.filter((minute) => minute !== undefined);
  return bootstrapInterval(units.length, (indices) => {
    let [way, real] = [0, 0];
    for (const index of indices) {
      way += units[index]?.wheel ?? 0;
      real += units[index]?.ground ?? 0;
    }
    return way / real;
  }, { resamples: 400 });
}
