import { columnOf, decodePack } from '../../../shared/column-pack.ts';
import type { RunPictureMeta } from '../../../shared/day-views.ts';

export interface RunGrid extends RunPictureMeta {
  /** Rows × columns, row by row; NaN = blank. */
  readonly ratio: Float32Array;
}

export function gridOf(bytes: ArrayBuffer): RunGrid {
  const pack = decodePack<RunPictureMeta>(bytes);
  return { ...pack.meta, ratio: columnOf(pack, 'ratio', Float32Array) };
}

/** What a run's picture shows at an instant; NaN = blank. */
export function ratioAt(grid: RunGrid, row: number, at: number): number {
  const column = Math.floor(((at - grid.from) / (grid.to - grid.from)) * grid.columns);
  return column < 0 || column >= grid.columns ? Number.NaN : (grid.ratio[row * grid.columns + column] as number);
}
