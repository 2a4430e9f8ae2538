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
    const middle = medianKnown(rows, cell, -1);
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

/** Median of the known flows in a cell but one row's own; NaN below two mates. One call per cell of the picture: no list is made. */
export function medianKnown(rows: FlowRows, cell: number, except: number): number {
  if (sorted.length < rows.length) sorted = new Float64Array(rows.length);
  let n = 0;
  for (let r = 0; r < rows.length; r++) {
    const flow = (rows[r] as Float32Array)[cell] as number;
    if (r === except || Number.isNaN(flow)) continue;
    let at = n++;
    for (; at > 0 && (sorted[at - 1] as number) > flow; at--) sorted[at] = sorted[at - 1] as number;
    sorted[at] = flow;
  }
  if (n < 2) return Number.NaN;
  const half = n >> 1;
  return n % 2 === 1 ? sorted[half] as number : ((sorted[half - 1] as number) + (sorted[half] as number)) / 2;
}

let sorted = new Float64Array(16);
