import type { Channel } from '../../../shared/channel.ts';
import type { Interval } from '../../../shared/span.ts';
import type { Delay } from '../../../shared/setup.ts';
import { placeAt } from '../../field/openers.ts';
import { bootstrapInterval } from '../../series/bootstrap.ts';
import { firstAtOrAfter, valueAt } from '../../series/resample.ts';
import { median, medianAbsoluteDeviation, quantile } from '../../series/robust.ts';
import type { CoverageContext, WorkedField } from './worked-field.ts';
import type { CoverageOptions } from './options.ts';

/**
 * Where passes end. The section control switches OFF when it believes the openers to be at the boundary, less what the
 * product still travels, and ON likewise; it is blind to which way it goes. So at one end of the field the OFFs of passes
 * one way and the ONs of their neighbours the other way, put on the ground by the setup's geometry, lie apart by
 *   d = 2·(a − a₀) − OFF·v₁ − ON·v₂
 * with a the antenna-to-opener distance it works with, a₀ the setup's, and its delays times the speeds. The intercept tells
 * the distance from the delays.
 */
export interface AftFit {
  /** m from the antenna to the openers behind it, as the section control behaves. */
  readonly aft: Interval;
  /** One for each OFF between two ONs: mean speed, m/s, and how far the edges lie apart, m. */
  readonly ends: readonly { readonly speed: number; readonly apart: number }[];
  /** m/s, 5 to 95 % of them. */
  readonly speedSpread: number;
}

interface End {
  readonly on: boolean;
  /** Of the main direction: +1 with it. */
  readonly sense: number;
  readonly along: number;
  readonly across: number;
  readonly speed: number;
}

interface Row {
  readonly apart: number;
  readonly off: number;
  readonly on: number;
}

/** m; neighbours' ends further apart along the pass are ends of different fields or cut corners. */
const SAME_END = 60;

export function aftFit(context: CoverageContext, field: WorkedField, options: CoverageOptions): AftFit | undefined {
  const ends = passEnds(context, field);
  const spacing = field.story?.spacing.value ?? Number.NaN;
  const rows = withoutStray(rowsOf(ends, spacing), context.setup.machine.delays?.all);
  if (rows.length < options.fewestEnds) return undefined;
  const speeds = rows.map(({ on, off }) => (on + off) / 2);
  const aft = context.setup.machine.antennaToOpeners?.aft ?? 0;
  const { value, low, high } = bootstrapInterval(rows.length, (indices) => aft + intercept(rows, indices) / 2, { resamples: 1000 });
  return { aft: { value, low, high }, ends: rows.map(({ apart }, i) => ({ speed: speeds[i] as number, apart })), speedSpread: quantile(speeds, 0.95) - quantile(speeds, 0.05) };
}

/** First ON of every section at the start of each pass and last OFF at its end, means over the sections. */
function passEnds({ episodes, channel }: CoverageContext, { ground }: WorkedField): readonly End[] {
  const { passes, switches } = episodes;
  const speed = channel('gnss.speed');
  if (speed === undefined) return [];
  const sections = new Set(switches.map(({ section }) => section));
  /* There and back count as one direction; headland laps run round it and cancel. */
  const along = Math.atan2(passes.reduce((sum, { length, course }) => sum + length * Math.sin(2 * course), 0), passes.reduce((sum, { length, course }) => sum + length * Math.cos(2 * course), 0)) / 2;
  return passes.flatMap(({ start, end, course }): readonly End[] => {
    const sense = Math.cos(course - along);
    if (Math.abs(sense) < 0.97) return [];
    const own = switches.filter(({ time }) => time > start - BEFORE && time < end + BEFORE);
    return [true, false].flatMap((on): readonly End[] => {
      const times = [...sections].flatMap((section) => {
        const edges = own.filter((each) => each.section === section && each.on === on && (on ? each.time < start + WITHIN : each.time > end - WITHIN));
        return (on ? edges[0] : edges.at(-1))?.time ?? [];
      });
      const places = times.map((time) => placeAt(ground.openers, time)).filter((place) => place !== undefined);
      if (times.length < sections.size || places.length < times.length) return [];
      const mean = (values: readonly number[]): number => values.reduce((sum, x) => sum + x, 0) / values.length;
      const [east, north] = [mean(places.map((place) => place.east)), mean(places.map((place) => place.north))];
      return [{
        on, sense: Math.sign(sense),
        along: east * Math.sin(along) + north * Math.cos(along), across: east * Math.cos(along) - north * Math.sin(along),
        speed: mean(times.map((time) => speedAt(speed, time))),
      }];
    });
  });
}

/** s round a pass's ends in which its switching is looked for. */
const BEFORE = 20;
const WITHIN = 30;

/** m/s at a moment, of the samples within 0.6 s: the tractor gathers speed at the start of a pass. */
function speedAt({ time, value }: Channel, moment: number): number {
  let sum = 0;
  let n = 0;
  for (let i = firstAtOrAfter(time, moment - 0.6); i < time.length && (time[i] as number) <= moment + 0.6; i++) {
    sum += value[i] as number;
    n++;
  }
  return n >= 3 ? sum / n : valueAt(time, value, moment);
}

/** Every OFF with an ON of the other direction beside it on either hand: a slanting boundary cancels. */
function rowsOf(ends: readonly End[], spacing: number): readonly Row[] {
  const ons = ends.filter(({ on }) => on);
  return ends.filter(({ on }) => !on).flatMap((off): readonly Row[] => {
    const facing = ons.filter((on) => on.sense !== off.sense && Math.abs(on.along - off.along) < SAME_END && Math.abs(on.across - off.across) < 1.5 * spacing);
    const [left] = facing.filter(({ across }) => across < off.across).toSorted((a, b) => b.across - a.across);
    const [right] = facing.filter(({ across }) => across > off.across).toSorted((a, b) => a.across - b.across);
    if (left === undefined || right === undefined) return [];
    const share = (off.across - left.across) / (right.across - left.across);
    const between = (one: number, other: number): number => one + share * (other - one);
    const row = { apart: off.sense * (off.along - between(left.along, right.along)), off: off.speed, on: between(left.speed, right.speed) };
    return Number.isNaN(row.apart + row.off + row.on) ? [] : [row];
  });
}

/** Ends that lie far from the others: cut corners, fills in mid-pass. */
function withoutStray(rows: readonly Row[], delay: Delay = { on: 2.5, off: 2.5 }): readonly Row[] {
  let kept = rows;
  let residual = (row: Row): number => row.apart + delay.off * row.off + delay.on * row.on;
  for (let round = 0; round < 3 && kept.length > 8; round++) {
    const values = kept.map(residual);
    const middle = median(values);
    const reach = 4 * Math.max(0.05, medianAbsoluteDeviation(values));
    kept = kept.filter((_, i) => Math.abs((values[i] as number) - middle) <= reach);
    const [constant, off, on] = fitted(kept, Int32Array.from(kept, (_, i) => i));
    residual = (row) => row.apart - constant - off * row.off - on * row.on;
  }
  return kept;
}

const intercept = (rows: readonly Row[], indices: ArrayLike<number>): number => fitted(rows, indices)[0];

/** Least squares of apart = c + p·off + q·on; NaN when the speeds do not vary. */
function fitted(rows: readonly Row[], indices: ArrayLike<number>): readonly [constant: number, off: number, on: number] {
  const n = indices.length;
  let [mx, mz, my] = [0, 0, 0];
  for (let i = 0; i < n; i++) {
    const row = rows[indices[i] as number] as Row;
    mx += row.off / n;
    mz += row.on / n;
    my += row.apart / n;
  }
  let [xx, zz, xz, xy, zy] = [0, 0, 0, 0, 0];
  for (let i = 0; i < n; i++) {
    const row = rows[indices[i] as number] as Row;
    const [x, z, y] = [row.off - mx, row.on - mz, row.apart - my];
    xx += x * x;
    zz += z * z;
    xz += x * z;
    xy += x * y;
    zy += z * y;
  }
  const determinant = xx * zz - xz * xz;
  if (!(determinant > 1e-9 * xx * zz)) return [Number.NaN, Number.NaN, Number.NaN];
  const off = (xy * zz - zy * xz) / determinant;
  const on = (zy * xx - xy * xz) / determinant;
  return [my - off * mx - on * mz, off, on];
}
