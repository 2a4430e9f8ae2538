import { median } from './robust.ts';

export interface MedianPolishOptions {
  /** Most sweeps over rows and columns; default 20. */
  readonly sweeps?: number;
  /** Stops when a sweep lowers the sum of absolute residuals by less than this share of it; default 1e-4. */
  readonly tolerance?: number;
}

export interface MedianPolish {
  readonly overall: number;
  /** Effect of each row and column about the overall level; NaN for one without any value. */
  readonly row: Float64Array;
  readonly column: Float64Array;
  /** Row by row, NaN where the matrix was. */
  readonly residual: Float64Array;
}

/**
 * Tukey's median polish of a table given row by row: value = overall + row + column + residual, by taking out medians of
 * rows and columns in turn. NaN cells are holes. A bad row, column or cell does not pull the others.
 */
export function medianPolish(
  matrix: ArrayLike<number>,
  rows: number,
  columns: number,
  options: MedianPolishOptions = {},
): MedianPolish {
  const { sweeps = 20, tolerance = 1e-4 } = options;
  const residual = new Float64Array(matrix);
  const row = new Float64Array(rows);
  const column = new Float64Array(columns);
  const line = new Float64Array(Math.max(rows, columns));
  let overall = 0;

  /** Median of the values in a line of the table, which is then taken off them; NaN when it has none. */
  const takeOut = (first: number, stride: number, length: number): number => {
    let count = 0;
    for (let k = 0; k < length; k++) {
      const x = residual[first + k * stride] as number;
      if (!Number.isNaN(x)) line[count++] = x;
    }
    const middle = median(line.subarray(0, count));
    if (count > 0) for (let k = 0, at = first; k < length; k++, at += stride) residual[at] = (residual[at] as number) - middle;
    return middle;
  };
  const centre = (effects: Float64Array): void => {
    const middle = median(effects.filter((effect) => !Number.isNaN(effect)));
    if (Number.isNaN(middle)) return;
    overall += middle;
    for (let k = 0; k < effects.length; k++) effects[k] = (effects[k] as number) - middle;
  };

  let before = Infinity;
  for (let sweep = 0; sweep < sweeps; sweep++) {
    for (let r = 0; r < rows; r++) row[r] = (row[r] as number) + takeOut(r * columns, 1, columns);
    centre(column);
    for (let c = 0; c < columns; c++) column[c] = (column[c] as number) + takeOut(c, columns, rows);
    centre(row);
    let total = 0;
    for (const x of residual) if (!Number.isNaN(x)) total += Math.abs(x);
    if (total === 0 || before - total <= tolerance * total) break;
    before = total;
  }
  centre(column);
  return { overall, row, column, residual };
}
