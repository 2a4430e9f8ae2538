import type { EvidenceSeries, TraceEvidence } from '../../../shared/evidence.ts';
import type { Span } from '../../../shared/span.ts';
import type { ProductDay } from '../rate/product-day.ts';

const POINTS = 300;

/** Turns of the meter, and counts of all runs where they are this product's, per second over time. */
export function feedTrace({ track, counts }: ProductDay, span: Span, shaded: readonly Span[]): TraceEvidence {
  const step = Math.max(1, Math.ceil((span.end - span.start) / POINTS));
  const series: EvidenceSeries[] = [];
  if (track.feed !== undefined) series.push(seriesOf('turns per second', track.feed, span, step, 'witness'));
  if (counts !== undefined) {
    const share = Float64Array.from({ length: counts.alone.length }, (_, k) => counts.runs.reduce((sum, run) => sum + (Number.isFinite(run[k] as number) ? run[k] as number : 0), 0) / counts.runs.length);
    series.push(seriesOf('counts per run and second', share, span, step, 'subject'));
  }
  return { kind: 'trace', title: `Meter and counts of tank ${track.tank.id}`, unit: '1/s', span, shaded, series, levels: [] };
}

export function seriesOf(label: string, value: ArrayLike<number>, span: Span, step: number, role: EvidenceSeries['role']): EvidenceSeries {
  const x: number[] = [];
  const y: (number | null)[] = [];
  for (let k = Math.max(0, Math.floor(span.start)); k < Math.min(value.length, span.end); k += step) {
    let [sum, n] = [0, 0];
    for (let j = k; j < Math.min(value.length, k + step); j++) {
      const each = value[j] as number;
      if (!Number.isFinite(each)) continue;
      sum += each;
      n++;
    }
    x.push(k + step / 2);
    y.push(n === 0 ? null : sum / n);
  }
  return { label, x, y, style: 'line', role };
}
