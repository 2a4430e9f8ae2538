import * as fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { medianPolish } from '../../src/series/median-polish.ts';
import { createRandom } from '../../src/series/random.ts';

describe('medianPolish', () => {
  test('parachuting deaths (ABC of EDA p. 224; answer of R medpolish read in a transcription)', () => {
    const { overall, row, column, residual } = medianPolish([14, 15, 14, 7, 4, 7, 8, 2, 10, 15, 9, 10, 0, 2, 0], 5, 3);
    expect(overall).toBe(8);
    expect([...row]).toEqual([6, -1, 0, 2, -8]);
    expect([...column]).toEqual([0, -1, 0]);
    expect([...residual]).toEqual([0, 2, 0, 0, -2, 0, 0, -5, 2, 5, 0, 0, 0, 3, 0]);
  });

  test('a dead row, a bad stretch of another and a hole do not pull the rest', () => {
    const random = createRandom(4);
    const [rows, columns] = [12, 40];
    const rowEffect = Array.from({ length: rows }, () => 0.1 * random.normal());
    const columnEffect = Array.from({ length: columns }, (_, c) => Math.sin(c / 5));
    const matrix = Float64Array.from({ length: rows * columns }, (_, i) => {
      const r = Math.floor(i / columns);
      const c = i % columns;
      if (r === 3) return Number.NaN;
      if (r === 7 && c > 25) return -5;
      return 2 + (rowEffect[r] as number) + (columnEffect[c] as number) + 0.01 * random.normal();
    });
    const fit = medianPolish(matrix, rows, columns);
    expect(fit.row[3]).toBeNaN();
    for (let r = 0; r < rows; r++) {
      if (r === 3) continue;
      expect(Math.abs((fit.row[r] as number) - (fit.row[0] as number) - (rowEffect[r] as number) + (rowEffect[0] as number))).toBeLessThan(0.015);
    }
    for (let c = 26; c < columns; c++) expect(fit.residual[7 * columns + c]).toBeLessThan(-4);
  });

  test('value = overall + row + column + residual, holes stay holes', () => {
    const cell = fc.oneof({ weight: 5, arbitrary: fc.integer({ min: -50, max: 50 }) }, { weight: 1, arbitrary: fc.constant(Number.NaN) });
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 6 }), fc.integer({ min: 1, max: 6 }), fc.array(cell, { minLength: 36, maxLength: 36 }), (rows, columns, cells) => {
        const matrix = cells.slice(0, rows * columns);
        const { overall, row, column, residual } = medianPolish(matrix, rows, columns);
        matrix.forEach((value, i) => {
          const sum = overall + (row[Math.floor(i / columns)] as number) + (column[i % columns] as number) + (residual[i] as number);
          expect(Number.isNaN(value) ? Number.isNaN(residual[i]) : Math.abs(sum - value) < 1e-9).toBe(true);
        });
      }),
    );
  });
});
