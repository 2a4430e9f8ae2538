import type { EvidenceSeries, TraceEvidence } from '../../../shared/evidence.ts';
import type { Span } from '../../../shared/span.ts';

const POINTS = 400;

/** Scale reading over time as evidence: means of equal stretches; `corrected` adds what the reading should have been. */
export function massTrace(title: string, mass: Float64Array, span: Span, shaded: readonly Span[], corrected?: (time: number, reading: number) => number): TraceEvidence {
  const from = Math.max(0, Math.floor(span.start));
  const to = Math.min(mass.length, Math.ceil(span.end));
  const step = Math.max(1, Math.ceil((to - from) / POINTS));
  const x: number[] = [];
  const y: (number | null)[] = [];
  for (let k = from; k < to; k += step) {
    const known = mass.subarray(k, Math.min(to, k + step)).filter(Number.isFinite);
    x.push(k + step / 2);
    y.push(known.length === 0 ? null : known.reduce((sum, value) => sum + value, 0) / known.length);
  }
  const reading: EvidenceSeries = { label: 'scale', x, y, style: 'line', role: 'subject' };
  const right: readonly EvidenceSeries[] = corrected === undefined ? [] : [{
    label: 'really there', x, y: y.map((value, i) => (value === null ? null : corrected(x[i] as number, value))), style: 'line', role: 'witness',
  }];
  return { kind: 'trace', title, unit: 'kg', span: { start: from, end: to }, shaded, series: [reading, ...right], levels: [] };
}

/** Mean of the readings in the last `seconds` of the log; NaN when there are none. */
export function lastReading(mass: Float64Array, seconds = 30): { readonly mass: number; readonly time: number } {
  let last = mass.length - 1;
  while (last >= 0 && !Number.isFinite(mass[last] as number)) last--;
  const known = mass.subarray(Math.max(0, last - seconds + 1), last + 1).filter(Number.isFinite);
  return { mass: known.reduce((sum, value) => sum + value, 0) / known.length, time: last };
}
