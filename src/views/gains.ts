import { median } from '../series/robust.ts';

/** Flows of the runs of one tower, one row per run, one value per cell; NaN = nothing known. */
export type FlowRows = readonly Float32Array[];

/** A share further from its mates than this is a fault, not the run's own way. Common practice, no source. */
const USUAL = [0.5, 2] as const;
/** Cells from which the usual share is taken, at most. */
const ENOUGH_CELLS = 600;

/** Each run's usual share of its tower: the median over the day of flow ÷ median of the tower; 1 where that is no usual share. */
export function usualShares(rows: FlowRows): readonly number[] {
  const cells = rows[0]?.length ?? 0;
  const stride = Math.max(1, Math.floor(cells / ENOUGH_CELLS));
  const shares: number[][] = rows.map(() => []);
  for (let cell = 0; cell < cells; cell += stride) {
    const known = rows.flatMap((row) => (Number.isNaN(row[cell] as number) ? [] : row[cell] as number));
    const middle = known.length < 2 ? Number.NaN : median(known);
    if (!(middle > 0)) continue;
    rows.forEach((row, r) => {
      const flow = row[cell] as number;
      if (!Number.isNaN(flow)) (shares[r] as number[]).push(flow / middle);
    });
  }
  return shares.map((each) => {
    const share = median(each);
    return share >= USUAL[0] && share <= USUAL[1] ? share : 1;
  });
}

/**
 * For each row the median of the other rows that count, in one cell: put in order once, then each row's own value left
 * out. `counts[r]` = 0: the row is no mate, but is compared all the same. NaN below two others.
 */
export function mediansOfOthers(rows: FlowRows, counts: ArrayLike<number>, cell: number, medians: Float64Array): void {
  if (sorted.length < rows.length) sorted = new Float64Array(rows.length);
  let n = 0;
  for (let r = 0; r < rows.length; r++) {
    const flow = (rows[r] as Float32Array)[cell] as number;
    if (counts[r] === 0 || Number.isNaN(flow)) continue;
    let at = n++;
    for (; at > 0 && (sorted[at - 1] as number) > flow; at--) sorted[at] = sorted[at - 1] as number;
    sorted[at] = flow;
  }
  for (let r = 0; r < rows.length; r++) {
    const flow = (rows[r] as Float32Array)[cell] as number;
    const isMate = counts[r] !== 0 && !Number.isNaN(flow);
    const others = isMate ? n - 1 : n;
    if (others < 2) {
      medians[r] = Number.NaN;
      continue;
    }
    const half = others >> 1;
    const upper = placeWithout(half, isMate ? flow : Infinity);
    medians[r] = others % 2 === 1 ? upper : (placeWithout(half - 1, isMate ? flow : Infinity) + upper) / 2;
  }
}

let sorted = new Float64Array(16);

/** The k-th value in order when one of value `out` is taken away. */
const placeWithout = (k: number, out: number): number => sorted[(sorted[k] as number) < out ? k : k + 1] as number;
