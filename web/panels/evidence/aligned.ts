import type { EvidenceSeries } from '../../../shared/evidence.ts';
import { together, type Value } from '../../plot/lines-together.ts';

export interface AlignedLine {
  readonly label: string;
  readonly style: EvidenceSeries['style'];
  readonly role: EvidenceSeries['role'];
  /** Place of its series in the evidence. */
  readonly of: number;
  readonly isEdge: boolean;
  readonly y: readonly Value[];
}

/**
 * All series on one x axis, the union of their x: null where a series breaks, undefined where it has no point and runs
 * on. A series with bounds is followed by two edges, low and high. Values that are no numbers break the line.
 */
export function aligned(series: readonly EvidenceSeries[], convert: (value: number) => number): { readonly x: readonly number[]; readonly lines: readonly AlignedLine[] } {
  const parts = series.flatMap((one, of) => {
    const part = (label: string, y: readonly (number | null)[], isEdge: boolean): { line: Omit<AlignedLine, 'y'>; points: { x: number[]; y: (number | null)[] } } =>
      ({ line: { label, style: one.style, role: one.role, of, isEdge }, points: ascending(one.x, y, convert) });
    const edges = one.low === undefined || one.high === undefined ? [] : [part(`${one.label}, low`, one.low, true), part(`${one.label}, high`, one.high, true)];
    return [part(one.label, one.y, false), ...edges];
  });
  const { x, lines } = together(parts.map(({ points }) => points));
  return { x: Array.from(x), lines: parts.map(({ line }, index) => ({ ...line, y: Array.from(lines[index] ?? []) })) };
}

/** In order of x, the last value where one x comes twice. */
function ascending(x: readonly number[], y: readonly (number | null)[], convert: (value: number) => number): { x: number[]; y: (number | null)[] } {
  const order = x.map((_, index) => index).filter((index) => Number.isFinite(x[index])).sort((a, b) => (x[a] as number) - (x[b] as number));
  const points: { x: number[]; y: (number | null)[] } = { x: [], y: [] };
  for (const index of order) {
    const at = x[index] as number;
    const value = y[index];
    const shown = value === null || value === undefined || !Number.isFinite(value) ? null : convert(value);
    if (points.x.at(-1) === at) points.y[points.y.length - 1] = shown;
    else {
      points.x.push(at);
      points.y.push(shown);
    }
  }
  return points;
}
