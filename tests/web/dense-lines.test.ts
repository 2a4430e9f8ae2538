import { describe, expect, test } from 'vitest';
import { columnExtents, paintExtents, pixelColour } from '../../web/plot/dense-lines.ts';
import { createRandom } from '../formats/damage.ts';

const plain = { origin: 0, perUnit: 1 };
const extentsOf = (x: readonly number[], y: readonly (number | null | undefined)[], width: number) => {
  const { top, bottom } = columnExtents({ x, y, first: 0, last: x.length - 1 }, plain, plain, width);
  return Array.from(top, (upper, column) => [upper, bottom[column]]);
};
const none = [Number.NaN, Number.NaN];

describe('from where to where a line goes in each column of pixels', () => {
  test('points in one column: least and most; a step to the next column belongs to both', () => {
    expect(extentsOf([0, 0.25, 0.5, 0.75, 1.5], [4, 1, 9, 5, 5], 3)).toEqual([[1, 9], [5, 5], none]);
  });

  test('a slope over several columns', () => {
    expect(extentsOf([0.5, 3.5], [0, 6], 4)).toEqual([[0, 1], [1, 3], [3, 5], [5, 6]]);
  });

  test('null breaks it, undefined does not; a single point is a point', () => {
    expect(extentsOf([0, 1, 2, 3, 4], [1, undefined, 3, null, 7], 6)).toEqual([[1, 2], [2, 3], [3, 3], none, [7, 7], none]);
  });

  test('what lies outside the columns is left out, and its slope inside kept', () => {
    expect(extentsOf([-4, 4], [0, 8], 2)).toEqual([[4, 5], [5, 6]]);
    expect(extentsOf([-4, -2, 9, 12], [0, 1, 1, 0], 2)).toEqual([[1, 1], [1, 1]]);
  });

  test('any line: as far up and down as a walk along it in small steps', () => {
    const random = createRandom(3);
    const width = 12;
    for (let n = 0; n < 200; n++) {
      const x = Array.from({ length: 2 + random(40) }, () => random(1600) / 100 - 2).sort((a, b) => a - b).filter((value, i, all) => value !== all[i - 1]);
      const y = x.map(() => (random(8) === 0 ? null : random(1000) / 10));
      const walked = Array.from({ length: width }, () => [Infinity, -Infinity] as [number, number]);
      const visit = (at: number, value: number): void => {
        const pair = walked[Math.floor(at)];
        if (pair !== undefined) [pair[0], pair[1]] = [Math.min(pair[0], value), Math.max(pair[1], value)];
      };
      x.forEach((at, i) => {
        const [value, next] = [y[i], y[i + 1]];
        if (typeof value !== 'number') return;
        visit(at, value);
        if (typeof next === 'number') for (let k = 0; k < 500; k++) visit(at + ((x[i + 1] as number) - at) * (k / 500), value + (next - value) * (k / 500));
      });
      extentsOf(x, y, width).forEach(([upper, lower], column) => {
        const [least, most] = walked[column] as [number, number];
        if (least === Infinity) return;
        expect(upper).toBeLessThanOrEqual(least + 0.3);
        expect(upper).toBeGreaterThan(least - 0.5);
        expect(lower).toBeGreaterThanOrEqual(most - 0.3);
        expect(lower).toBeLessThan(most + 0.5);
      });
    }
  });
});

describe('painted', () => {
  const paint = (top: number, bottom: number, dash: readonly number[] = []): string[] => {
    const [width, height] = [4, 5];
    const pixels = new Uint32Array(width * height);
    paintExtents(pixels, width, height, { top: new Float32Array(width).fill(top), bottom: new Float32Array(width).fill(bottom) }, pixelColour('#0072b2'), 1, dash);
    return Array.from({ length: height }, (_, row) => Array.from(pixels.subarray(row * width, row * width + width), (pixel) => (pixel === 0 ? '.' : pixel >>> 24 === 255 ? '#' : '+')).join(''));
  };

  test('one pixel thick on a row, softened between two rows, as tall as it goes', () => {
    expect(paint(2.5, 2.5)).toEqual(['....', '....', '####', '....', '....']);
    expect(paint(2, 2)).toEqual(['....', '++++', '++++', '....', '....']);
    expect(paint(0.5, 3.5)).toEqual(['####', '####', '####', '####', '....']);
  });

  test('dashed along the columns; outside the picture nothing', () => {
    expect(paint(2.5, 2.5, [2, 1])).toEqual(['....', '....', '##.#', '....', '....']);
    expect(paint(-9, 40)).toEqual(['####', '####', '####', '####', '####']);
    expect(paint(Number.NaN, Number.NaN)).toEqual(['....', '....', '....', '....', '....']);
  });

  test('colours of the theme', () => {
    expect(pixelColour('#0072B2')).toBe(0xb27200);
    expect(() => pixelColour('teal')).toThrow('teal');
  });
});
