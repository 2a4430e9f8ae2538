import { describe, expect, test } from 'vitest';
import { detectors } from '../../src/detectors/registry.ts';
import { MEASUREMENT_WORDS, digitsFor, intervalWords, measureName, measureSentence } from '../../shared/measure-words.ts';

/** Measurement names of contract section 8. */
const CONTRACT = [
  'wheel.ratio', 'wheel.constant', 'scale.span', 'meter.mass-per-turn', 'meter.seeds-per-turn', 'section.on-delay', 'section.off-delay', 'fan.margin', 'fan.suggested-alarm', 'tank.hectares-to-empty',
  'tank.load-for-area', 'pass.spacing', 'run.variation', 'area.wheel', 'area.gnss', 'area.covered', 'area.overlap', 'area.missed', 'hours.working',
];

describe('figures in words', () => {
  test('every measurement of the contract has words', () => expect(Object.keys(MEASUREMENT_WORDS).sort()).toEqual([...CONTRACT].sort()));

  test('every finding that a check can report and the contract gives a measure has words for it', () => {
    const without = new Set(['fan.unsteady', 'fan.sensor-implausible']);
    expect(detectors.flatMap(({ meta }) => meta.codes).filter((code) => !without.has(code) && measureName(code) === '')).toEqual([]);
  });

  test.each([[0.9930, 0.9976, 4], [99.3, 99.76, 2], [3200, 3572, 0], [0.037, 0.094, 3], [5, 5, 3], [0, 0, 0]] as const)('%d to %d is told with %i digits', (low, high, digits) => expect(digitsFor(low, high)).toBe(digits));

  test('ratios in percent, areas and masses in the reader\'s units', () => {
    expect(intervalWords({ value: 0.9959, low: 0.993, high: 0.9976, unit: 'ratio' }, 'metric')).toEqual({ value: '99.59 %', between: '99.30 to 99.76 %' });
    expect(intervalWords({ value: 10, low: 9, high: 11, unit: 'ha' }, 'us')).toEqual({ value: '24.7 ac', between: '22.2 to 27.2 ac' });
    expect(intervalWords({ value: -31, low: -31, high: -31, unit: 'kg' }, 'metric').between).toBeUndefined();
  });

  test('a finding\'s measure is one sentence', () => {
    expect(measureSentence('run.blocked', { value: 0.00062, low: 0.00037, high: 0.00094, unit: 'ratio', expected: 1 }, 'metric'))
      .toBe('Flow ÷ what the tower mates and its own past say: 0.062 %, with 95 % certainty from 0.037 to 0.094 %. Expected: 100 %.');
    expect(measureSentence('fan.below-floor', { value: 3005, low: 3005, high: 3005, unit: 'rpm', expected: 3200 }, 'metric')).toBe('Lowest lasting speed while seeding: 3005 rpm. Expected: 3200 rpm.');
  });
});
