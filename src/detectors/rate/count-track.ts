import type { Span } from '../../../shared/span.ts';
import { median } from '../../series/robust.ts';
import type { TankTrack, TrackSource } from '../scale/tank-track.ts';

/** What the run sensors counted, run by run, with the turns of the one meter that fed them. */
export interface CountTrack {
  /** Counts of every run in each second; NaN = unknown. */
  readonly runs: readonly Float64Array[];
  /** 1 where the runs counted this tank's product and no other. */
  readonly alone: Uint8Array;
}

/** Counts that belong to one tank: its product is counted, and no other counted product is fed at the same time. */
export function countTrack(track: TankTrack, others: readonly TankTrack[], { channels, timeline }: TrackSource): CountTrack | undefined {
  const { feed } = track;
  if (track.product?.counted !== true || feed === undefined) return undefined;
  const runs = channels('run.*.count').flatMap(({ id }) => timeline.mean(id) ?? []);
  if (runs.length === 0) return undefined;
  const rivals = others.filter((other) => other !== track && other.product?.counted === true).flatMap((other) => other.feed ?? []);
  const alone = new Uint8Array(timeline.length);
  for (let k = 0; k < alone.length; k++) if ((feed[k] as number) > 0) alone[k] = 1;
  for (const rival of rivals) for (let k = 0; k < alone.length; k++) if ((rival[k] as number) > 0) alone[k] = 0;
  return { runs, alone };
}

/** Counts per fed turn of every run over some spans; runs without readings are NaN. Transport delay is some seconds, the spans minutes. */
export function countsPerTurn({ runs, alone }: CountTrack, feed: Float64Array, spans: readonly Span[]): readonly number[] {
  const seconds = secondsIn(spans, alone);
  return runs.map((run) => {
    let counts = 0;
    let turns = 0;
    for (let i = 0; i < seconds.length; i++) {
      const k = seconds[i] as number;
      const count = run[k] as number;
      if (!Number.isFinite(count)) continue;
      counts += count;
      turns += feed[k] as number;
    }
    return turns > 0 ? counts / turns : Number.NaN;
  });
}

function secondsIn(spans: readonly Span[], alone: Uint8Array): Int32Array {
  const seconds: number[] = [];
  for (const { start, end } of spans) {
    for (let k = Math.max(0, Math.round(start)); k < Math.min(alone.length, Math.round(end)); k++) if (alone[k] === 1) seconds.push(k);
  }
  return Int32Array.from(seconds);
}

export interface CountRatio {
  /** Counts per turn after ÷ before: the median over runs, so that single bad sensors do not matter. */
  readonly ratio: number;
  /** 95 %. */
  readonly halfWidth: number;
  readonly runs: number;
}

export function countRatio(counts: CountTrack, feed: Float64Array, before: readonly Span[], after: readonly Span[]): CountRatio | undefined {
  const earlier = countsPerTurn(counts, feed, before);
  const ratios = countsPerTurn(counts, feed, after).map((value, run) => value / (earlier[run] ?? Number.NaN)).filter((value) => Number.isFinite(value) && value > 0);
  if (ratios.length < 4) return undefined;
  const ratio = median(ratios);
  const spread = 1.4826 * median(ratios.map((value) => Math.abs(value - ratio)));
  /* Standard error of a median is 1.25 times that of a mean. */
  return { ratio, halfWidth: (1.96 * 1.25 * spread) / Math.sqrt(ratios.length), runs: ratios.length };
}
