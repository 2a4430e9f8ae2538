import { describe, expect, test } from 'vitest';
import { generalizedEsd, grubbs } from '../../src/series/outliers.ts';
import series from './data/series.json' with { type: 'json' };

describe('grubbs', () => {
  test('S-14 (e-Handbook 1.3.5.17.1, read in transcriptions, recalculated)', () => {
    const values = [199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57];
    const result = grubbs(values, 0.05);
    expect(Math.abs(result.statistic - 2.468765)).toBeLessThan(5e-6);
    expect(Math.abs(result.critical - 2.126645)).toBeLessThan(5e-4);
    expect(Math.abs(grubbs(values, 0.1).critical - 2.031652)).toBeLessThan(5e-4);
    expect(result).toMatchObject({ index: 7, value: 245.57, outlier: true });
  });

  test('S-15 Venus semidiameters (data of Herndon 1846, answer from memory, recalculated)', () => {
    const values = [-0.3, -0.44, 1.01, 0.48, -0.24, 0.06, 0.63, -0.13, -1.4, -0.22, -0.05, 0.2, 0.18, 0.39, 0.1];
    const result = grubbs(values, 0.05);
    expect(result.statistic).toBeCloseTo(2.573737, 6);
    expect(result.critical).toBeCloseTo(2.54831, 5);
    expect(grubbs(values, 0.1).critical).toBeCloseTo(2.40904, 5);
    expect(result.value).toBe(-1.4);
    expect(result.outlier).toBe(true);
  });

  test('quiet: equal values have no outlier', () => {
    expect(grubbs([5, 5, 5, 5]).outlier).toBe(false);
  });
});

describe('generalizedEsd', () => {
  test('S-16 Rosner 1983 (e-Handbook 1.3.5.17.3, table read in a transcription, recalculated): three, though the first two steps fail', () => {
    const { outliers, steps } = generalizedEsd(series.rosner, 10, 0.05);
    const table = [
      [3.118906, 3.158794, 6.01],
      [2.942973, 3.15143, 5.42],
      [3.179424, 3.14389, 5.34],
      [2.810181, 3.136165, 4.64],
      [2.81558, 3.128247, -0.25],
      [2.848172, 3.120128, 4.3],
      [2.279327, 3.111796, 3.68],
      [2.310366, 3.103243, 3.59],
      [2.101581, 3.094456, 0.68],
      [2.067178, 3.085425, 3.3],
    ];
    expect(steps).toHaveLength(10);
    table.forEach(([statistic, critical, value], i) => {
      const step = steps[i];
      expect(Math.abs((step?.statistic ?? 0) - (statistic as number))).toBeLessThan(5.1e-7);
      expect(Math.abs((step?.critical ?? 0) - (critical as number))).toBeLessThan(5.1e-7);
      expect(step?.value).toBe(value);
    });
    expect(outliers.map((index) => series.rosner[index])).toEqual([6.01, 5.42, 5.34]);
  });
});
