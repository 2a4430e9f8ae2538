import { array, assert, double, property } from 'fast-check';
import { describe, expect, test } from 'vitest';
import { createColumnBuilder, createFloat64Builder } from '../../src/core/column-builder.ts';

const COUNTS = [0, 1, 255, 256, 257, 768, 769, 200_000];

describe('column builder', () => {
  test.each(COUNTS)('%i samples come out as pushed, in arrays of exactly that size, once', (count) => {
    const builder = createColumnBuilder();
    for (let i = 0; i < count; i += 1) builder.push(i * 0.1, i === 3 ? Number.NaN : -i);
    expect(builder.length()).toBe(count);
    const { time, value } = builder.finish();
    expect([time.length, value.length, time.buffer.byteLength]).toEqual([count, count, count * 8]);
    expect(time.every((t, i) => t === i * 0.1) && value.every((v, i) => (i === 3 ? Number.isNaN(v) : v === -i))).toBe(true);
    expect(builder.length()).toBe(0);
    expect(builder.finish().time.length).toBe(0);
  });

  test('values are kept in half the memory only when told that this is exact', () => {
    const [wide, narrow] = [createColumnBuilder(), createColumnBuilder({ exactInFloat32: true })];
    for (const builder of [wide, narrow]) builder.push(0.1, 65_535);
    expect(wide.finish().value).toBeInstanceOf(Float64Array);
    expect(narrow.finish()).toEqual({ time: Float64Array.of(0.1), value: Float32Array.of(65_535) });
  });

  test('numbers appended in stretches of any size come out in order', () => {
    assert(property(array(array(double(), { maxLength: 400 }), { maxLength: 12 }), (stretches) => {
      const builder = createFloat64Builder();
      for (const stretch of stretches) {
        builder.append(Float64Array.from([...stretch, 7]), stretch.length);
        builder.push(stretch.length);
      }
      expect(builder.finish()).toEqual(Float64Array.from(stretches.flatMap((stretch) => [...stretch, stretch.length])));
    }), { numRuns: 50 });
  });
});
