import type { Span } from '../../../shared/span.ts';

/** Known values of a one-second view in the whole seconds of some spans. */
export function valuesWithin(values: Float64Array | undefined, spans: readonly Span[]): Float64Array {
  if (values === undefined) return new Float64Array();
  const found = new Float64Array(values.length);
  let n = 0;
  for (const { start, end } of spans) {
    for (let k = Math.max(0, Math.ceil(start)); k + 1 <= Math.min(end, values.length); k++) {
      const value = values[k] as number;
      if (!Number.isNaN(value)) found[n++] = value;
    }
  }
  return found.subarray(0, n);
}
