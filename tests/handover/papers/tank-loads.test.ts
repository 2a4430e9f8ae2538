import { describe, expect, test } from 'vitest';
import type { Measurement } from '../../../shared/finding.ts';
import { emptyAfter, loadFor, tankStocks } from '../../../src/handover/papers/tank-loads.ts';
import { emptySetup } from '../../../shared/setup.ts';
import { finding } from './paper-days.ts';

const RATE = { value: 0.012, low: 0.0119, high: 0.0121 };
const measurement = (name: string, value: number, half: number, unit: string): Measurement => ({ name, subject: 'tank.1', value, low: value - half, high: value + half, unit, n: 2 });
const summary = { areaHa: 60, workingHours: 4, products: [{ tank: '1', name: 'wheat' }] };

describe('what to load', () => {
  /* 50 ha × 120 kg/ha = 6000 kg, 600 kg still there; ± 50 and ± 10 kg independent: ± √(50² + 10²) = 50.99 kg */
  test('rate × area less what is left, errors as squares', () => {
    const load = loadFor(50e4, RATE, { value: 600, low: 590, high: 610 });
    expect(load.value).toBeCloseTo(5400, 6);
    expect(load.low).toBeCloseTo(5400 - Math.hypot(50, 10), 6);
    expect(load.high).toBeCloseTo(5400 + Math.hypot(50, 10), 6);
  });

  test('never less than nothing', () => {
    expect(loadFor(1e4, RATE, { value: 600, low: 590, high: 610 })).toEqual({ value: 0, low: 0, high: 0 });
  });

  test('the load runs empty where it was asked to', () => {
    const left = { value: 600, low: 590, high: 610 };
    const empty = emptyAfter(loadFor(50e4, RATE, left).value, RATE, left);
    expect(empty.value).toBeCloseTo(50e4, 3);
    expect(empty.low).toBeLessThan(50e4);
    expect(empty.high).toBeGreaterThan(50e4);
  });

  test('what is left is hectares to empty × rate', () => {
    const [stock] = tankStocks({ summary, findings: [], measurements: [measurement('tank.load-for-area', 120, 1, 'kg/ha'), measurement('tank.hectares-to-empty', 5, 0.1, 'ha')] }, emptySetup);
    expect(stock?.left?.value).toBeCloseTo(600, 6);
    expect(stock?.rate?.value).toBeCloseTo(0.012, 9);
  });

  test('a scale that is off or lost a cell is not asked; one set to zero wrongly is, with a word', () => {
    const measurements = [measurement('tank.load-for-area', 120, 1, 'kg/ha'), measurement('tank.hectares-to-empty', 5, 0.1, 'ha')];
    const stockWith = (code: 'scale.span-off' | 'scale.cell-lost' | 'scale.zero-moved') => tankStocks({ summary, measurements, findings: [finding({ code, subject: 'tank.1' })] }, emptySetup)[0];
    expect(stockWith('scale.span-off')?.left).toBeUndefined();
    expect(stockWith('scale.cell-lost')?.left).toBeUndefined();
    expect(stockWith('scale.zero-moved')?.left?.value).toBeCloseTo(600, 6);
    expect(stockWith('scale.zero-moved')?.scale?.mended).toBe(true);
  });

  test('a corrected wheel constant changes the rate by the measured ratio', () => {
    const wrong = finding({ code: 'speed.calibration-off', subject: 'wheel', measure: { value: 1.06, low: 1.059, high: 1.061, unit: 'ratio', expected: 1 }, correction: { setting: 'wheel constant', old: '18.8', new: '20' } });
    const [stock] = tankStocks({ summary, findings: [wrong], measurements: [measurement('tank.load-for-area', 127.2, 1, 'kg/ha')] }, emptySetup);
    expect(stock?.corrected?.value).toBeCloseTo(0.012, 9);
  });

  test('without a rate there is no load', () => {
    expect(tankStocks({ summary, findings: [], measurements: [] }, emptySetup)[0]?.rate).toBeUndefined();
  });
});
