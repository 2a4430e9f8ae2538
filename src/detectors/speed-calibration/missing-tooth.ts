import type { Channel } from '../../../shared/channel.ts';
import type { Interval, Span } from '../../../shared/span.ts';
import { contains } from '../../series/spans.ts';

/** `lost` of `teeth` no longer count. */
export interface MissingTooth {
  readonly teeth: number;
  readonly lost: number;
  /** Height of the once-a-turn swing of the count against even driving, pulses; 1/π is expected. */
  readonly swing: number;
}

/** A speed wheel's target has no fewer and no more teeth: common practice, no source. */
const FEWEST_TEETH = 6;
const MOST_TEETH = 120;
/** Rounding to whole pulses blurs the phase and leaves about two thirds of the swing (own simulation). */
const LEAST_SHARE = 0.4;

/**
 * Whether the count lags once per turn. A wheel with n teeth that lost one counts m = n − 1 per turn, evenly but for one
 * gap, so the count against the way is a saw of one pulse with period m: its first harmonic swings by 1/π pulse. It is
 * fitted to the bends (second differences) of the count, which even driving leaves flat. No clock is needed finer than
 * the log's: the phase is the count itself.
 */
export function missingTooth(pulses: Channel, steady: readonly Span[], before: Span, after: Span, ratio: Interval): MissingTooth | undefined {
  for (const lost of [1, 2]) {
    /* Lost teeth side by side make one gap as well, `lost` pulses high. */
    const counted = (share: number): number => (lost * share) / (1 - share);
    const [least, most] = [Math.ceil(counted(ratio.low) - 0.5), Math.floor(counted(ratio.high) + 0.5)];
    for (let period = Math.max(least, FEWEST_TEETH); period <= Math.min(most, MOST_TEETH); period++) {
      const now = swingWithPeriod(pulses, within(steady, after), period);
      const then = swingWithPeriod(pulses, within(steady, before), period);
      const expected = lost / Math.PI;
      const isNew = then.height - 2 * then.uncertainty < 0.4 * now.height;
      if (now.height > 6 * now.uncertainty && now.height > LEAST_SHARE * expected && now.height < 1.4 * expected && isNew) {
        return { teeth: period + lost, lost, swing: now.height };
      }
    }
  }
  return undefined;
}

const within = (steady: readonly Span[], span: Span): readonly Span[] =>
  steady.filter(({ start, end }) => start >= span.start && end <= span.end);

interface Swing { readonly height: number; readonly uncertainty: number }

function swingWithPeriod({ time, value }: Channel, spans: readonly Span[], period: number): Swing {
  /* Normal equations of bend = a·bend(cos) + b·bend(sin). */
  let [cc, ss, cs, cy, sy, yy, n] = [0, 0, 0, 0, 0, 0, 0];
  const angle = (2 * Math.PI) / period;
  for (let i = 1; i + 1 < value.length; i++) {
    const [left, here, right] = [value[i - 1] as number, value[i] as number, value[i + 1] as number];
    const [gapLeft, gapRight] = [(time[i] as number) - (time[i - 1] as number), (time[i + 1] as number) - (time[i] as number)];
    if (!(gapLeft > 0) || Math.abs(gapRight / gapLeft - 1) > 0.02 || right - here <= 0 || here - left <= 0 || !contains(spans, time[i] as number)) continue;
    const bend = (f: (count: number) => number): number => f(left) - 2 * f(here) + f(right);
    const [y, c, s] = [bend((count) => count), bend((count) => Math.cos(angle * count)), bend((count) => Math.sin(angle * count))];
    /* Harder bends than rounding and one gap make are braking, not counting. */
    if (!(Math.abs(y) < 6)) continue;
    cc += c * c;
    ss += s * s;
    cs += c * s;
    cy += c * y;
    sy += s * y;
    yy += y * y;
    n++;
  }
  const determinant = cc * ss - cs * cs;
  if (n < 200 || !(determinant > 1e-6 * cc * ss)) return { height: 0, uncertainty: Number.POSITIVE_INFINITY };
  const a = (ss * cy - cs * sy) / determinant;
  const b = (cc * sy - cs * cy) / determinant;
  const residual = Math.max(0, yy - a * cy - b * sy) / (n - 2);
  return { height: Math.hypot(a, b), uncertainty: Math.sqrt((residual * (cc + ss)) / determinant / 2) };
}
