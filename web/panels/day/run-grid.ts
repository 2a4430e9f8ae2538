import { columnOf, decodePack } from '../../../shared/column-pack.ts';
import { BLANK_RATIO, type RunPictureMeta } from '../../../shared/day-views.ts';

export interface RunGrid extends RunPictureMeta {
  /** Rows × columns, row by row, in thousandths; BLANK_RATIO = nothing to compare. */
  readonly ratio: Uint16Array;
}

export function gridOf(bytes: ArrayBuffer): RunGrid {
  const pack = decodePack<RunPictureMeta>(bytes);
  return { ...pack.meta, ratio: columnOf(pack, 'ratio', Uint16Array) };
}

/** What a run's picture shows in a column; NaN = blank. */
export function ratioIn(grid: RunGrid, row: number, column: number): number {
  const thousandths = grid.ratio[row * grid.columns + column] as number;
  return thousandths === BLANK_RATIO ? Number.NaN : thousandths / 1000;
}

/** What a run's picture shows at an instant; NaN = blank. */
export function ratioAt(grid: RunGrid, row: number, at: number): number {
  const column = Math.floor(((at - grid.from) / (grid.to - grid.from)) * grid.columns);
  return column < 0 || column >= grid.columns ? Number.NaN : ratioIn(grid, row, column);
}
