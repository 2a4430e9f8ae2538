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
 * Of `flows` (one value a run, from `at` on) for each run the median of the others that count: put in order once, then each run's
 * own value left out. `counts[r]` = 0: the run is no mate, but is compared all the same. NaN below two others.
 */
export function mediansOfOthers(flows: Float32Array, at: number, counts: Uint8Array, medians: Float64Array): void {
  const runs = counts.length;
  const order = sorted.length < runs + 1 ? sorted = new Float64Array(runs + 1) : sorted;
  let n = 0;
  for (let r = 0; r < runs; r++) {
    const flow = flows[at + r] as number;
    if (counts[r] === 0 || Number.isNaN(flow)) continue;
    let place = n++;
    for (; place > 0 && (order[place - 1] as number) > flow; place--) order[place] = order[place - 1] as number;
    order[place] = flow;
  }
  /* Only the values round the middle can be the median of all, or of all but one. */
  const half = n >> 1;
  const [below, middle, above] = [order[Math.max(0, half - 1)] as number, order[half] as number, order[Math.min(half + 1, n)] as number];
  const ofAll = n < 2 ? Number.NaN : n % 2 === 1 ? middle : (below + middle) / 2;
  for (let r = 0; r < runs; r++) {
    const flow = flows[at + r] as number;
    if (counts[r] === 0 || Number.isNaN(flow)) medians[r] = ofAll;
    else if (n < 3) medians[r] = Number.NaN;
    else if (n % 2 === 0) medians[r] = flow > below ? below : middle;
    else medians[r] = flow < middle ? (middle + above) / 2 : flow > middle ? (below + middle) / 2 : (below + above) / 2;
  }
}

let sorted = new Float64Array(16);
