import { describe, expect, test } from 'vitest';
import { rampOf } from '../../web/plot/ramp.ts';

/** Lightness of CIE 1976 (L*), from relative luminance of IEC 61966-2-1 colours. */
function lightness(r: number, g: number, b: number): number {
  const linear = (c: number): number => (c / 255 <= 0.04045 ? c / 255 / 12.92 : ((c / 255 + 0.055) / 1.055) ** 2.4);
  const y = 0.2126 * linear(r) + 0.7152 * linear(g) + 0.0722 * linear(b);
  return y > 0.008856 ? 116 * Math.cbrt(y) - 16 : 903.3 * y;
}
const lightnesses = (kind: 'one-sided' | 'two-sided', dark: boolean): number[] => {
  const { bytes, steps } = rampOf(kind, dark);
  return Array.from({ length: steps }, (_, k) => lightness(bytes[3 * k] as number, bytes[3 * k + 1] as number, bytes[3 * k + 2] as number));
};

describe.each([[false], [true]])('dark: %s', (dark) => {
  test('from little to much the lightness only ever goes one way, so that order reads in grey', () => {
    const all = lightnesses('one-sided', dark);
    const way = dark ? 1 : -1;
    for (let k = 1; k < all.length; k++) expect(((all[k] as number) - (all[k - 1] as number)) * way).toBeGreaterThan(-0.6);
    expect(Math.abs((all.at(-1) as number) - (all[0] as number))).toBeGreaterThan(55);
  });

  test('too little and too much both leave the ground colour steadily', () => {
    const all = lightnesses('two-sided', dark);
    const middle = all.length >> 1;
    const way = dark ? 1 : -1;
    for (let k = 1; k < middle; k++) expect(((all[middle - k - 1] as number) - (all[middle - k] as number)) * way).toBeGreaterThan(-0.8);
    for (let k = middle + 1; k < all.length; k++) expect(((all[k] as number) - (all[k - 1] as number)) * way).toBeGreaterThan(-0.8);
    expect(Math.abs((all[0] as number) - (all[middle] as number))).toBeGreaterThan(40);
  });
});
