/**
 * Lines with more points than pixels. Stroking them costs a segment per point; what the eye can tell is only, per column of pixels, from
 * where to where the line goes, and that is painted here.
 */

/** From where to where a line goes in each column, in pixels downwards from the top; NaN where it does not go. */
export interface Extents {
  readonly top: Float32Array;
  readonly bottom: Float32Array;
}

export interface LinePoints {
  readonly x: ArrayLike<number>;
  /** null = the line breaks, undefined = it runs on. */
  readonly y: ArrayLike<number | null | undefined>;
  /** First and last point to be drawn. */
  readonly first: number;
  readonly last: number;
}

/** Straight scales: pixels = (value − origin) × perUnit. */
export interface PixelScale {
  readonly origin: number;
  readonly perUnit: number;
}

export function columnExtents({ x, y, first, last }: LinePoints, across: PixelScale, down: PixelScale, width: number): Extents {
  const top = new Float32Array(width).fill(Number.NaN);
  const bottom = new Float32Array(width).fill(Number.NaN);
  const reach = (column: number, a: number, b: number): void => {
    if (column < 0 || column >= width) return;
    const [low, high] = a < b ? [a, b] : [b, a];
    if (!((top[column] as number) <= low)) top[column] = low;
    if (!((bottom[column] as number) >= high)) bottom[column] = high;
  };
  let atX = Number.NaN;
  let atY = Number.NaN;
  for (let i = first; i <= last; i++) {
    const value = y[i];
    if (value === undefined) continue;
    const toX = ((x[i] as number) - across.origin) * across.perUnit;
    const toY = value === null ? Number.NaN : (value - down.origin) * down.perUnit;
    const column = Math.floor(toX);
    if (!Number.isNaN(toY)) {
      const from = Math.floor(atX);
      if (Number.isNaN(atY) || from === column) reach(column, Number.isNaN(atY) ? toY : atY, toY);
      else {
        /* A segment over several columns: in each the piece that lies in it. */
        const slope = (toY - atY) / (toX - atX);
        for (let c = Math.max(from, 0); c <= Math.min(column, width - 1); c++) {
          reach(c, atY + (Math.max(c, atX) - atX) * slope, atY + (Math.min(c + 1, toX) - atX) * slope);
        }
      }
    }
    atX = toX;
    atY = toY;
  }
  return { top, bottom };
}

/** Colours as `ImageData` holds them on a little-endian machine, which all browsers run on: 0xAABBGGRR. */
export const OPAQUE = 0xff000000;

/** Paints the extents as a line one pixel thick, its upper and lower end softened; `dash` = pixels on, pixels off … along the columns. */
export function paintExtents(pixels: Uint32Array, width: number, height: number, { top, bottom }: Extents, colour: number, thickness: number, dash: readonly number[]): void {
  const period = dash.reduce((sum, part) => sum + part, 0);
  const solid = (OPAQUE | colour) >>> 0;
  for (let column = 0; column < width; column++) {
    const upper = (top[column] as number) - thickness / 2;
    if (Number.isNaN(upper) || (period > 0 && !isOn(column % period, dash))) continue;
    const lower = (bottom[column] as number) + thickness / 2;
    const firstRow = Math.max(0, Math.floor(upper));
    const lastRow = Math.min(height - 1, Math.floor(lower));
    if (firstRow > lastRow) continue;
    soften(pixels, firstRow * width + column, Math.min(firstRow + 1, lower) - Math.max(firstRow, upper), colour, solid);
    for (let at = (firstRow + 1) * width + column, end = lastRow * width + column; at < end; at += width) pixels[at] = solid;
    if (lastRow > firstRow) soften(pixels, lastRow * width + column, Math.min(lastRow + 1, lower) - lastRow, colour, solid);
  }
}

/** Paints a pixel that the line covers in part; where another line is already, that one stays. */
function soften(pixels: Uint32Array, at: number, share: number, colour: number, solid: number): void {
  if (share > 0.95) pixels[at] = solid;
  else if (share > 0 && pixels[at] === 0) pixels[at] = ((Math.round(share * 255) << 24) | colour) >>> 0;
}

function isOn(place: number, dash: readonly number[]): boolean {
  let end = 0;
  for (let k = 0; k < dash.length; k++) {
    end += dash[k] as number;
    if (place < end) return k % 2 === 0;
  }
  return false;
}

/** `#rrggbb` → 0x00BBGGRR. */
export function pixelColour(css: string): number {
  const [, r, g, b] = /^#([0-9a-f]{2})([0-9a-f]{2})([0-9a-f]{2})$/i.exec(css) ?? [];
  if (r === undefined || g === undefined || b === undefined) throw new Error(`${css} is not a colour of six hexadecimal digits`);
  return (Number.parseInt(b, 16) << 16) | (Number.parseInt(g, 16) << 8) | Number.parseInt(r, 16);
}
