import type uPlot from 'uplot';
import { columnExtents, paintExtents, pixelColour } from './dense-lines.ts';
import type { Stroke } from './palette.ts';

/** First and last point in view. */
function inView(plot: uPlot): readonly [number, number] {
  const { min = 0, max = 0 } = plot.scales['x'] ?? {};
  const [x] = plot.data;
  return [Math.max(0, plot.valToIdx(min ?? 0) - 1), Math.min(x.length - 1, plot.valToIdx(max ?? 0) + 1)];
}

/** More points than pixels: strokes would cost much and show nothing more. So are blocks, whose columns of numbers break with NaN. */
export function isDense(plot: uPlot): boolean {
  if (plot.data[0] instanceof Float64Array) return true;
  const [first, last] = inView(plot);
  return last - first > 2 * plot.bbox.width;
}

/* All plots paint one after the other, so that one sheet and one image serve all of a size. */
const sheet = document.createElement('canvas');
const pen = sheet.getContext('2d', { willReadFrequently: true });
let image = new ImageData(1, 1);

/** The image empty again, in that size. */
function emptyImage(width: number, height: number): ImageData {
  if (image.width === width && image.height === height) image.data.fill(0);
  else {
    image = new ImageData(width, height);
    [sheet.width, sheet.height] = [width, height];
  }
  return image;
}

/** Paints the plot's lines, in the order of its series, over what is drawn already. */
export function paintDense(plot: uPlot, strokes: readonly Stroke[]): void {
  const { left, top, width, height } = plot.bbox;
  const { x: across, y: down } = plot.scales;
  if (pen === null || typeof across?.min !== 'number' || typeof across.max !== 'number' || typeof down?.min !== 'number' || typeof down.max !== 'number') return;
  const painted = emptyImage(width, height);
  const pixels = new Uint32Array(painted.data.buffer);
  const [first, last] = inView(plot);
  const columns = { origin: across.min, perUnit: width / (across.max - across.min) };
  const rows = { origin: down.max, perUnit: height / (down.min - down.max) };
  strokes.forEach(({ colour, dash }, k) => {
    const extents = columnExtents({ x: plot.data[0], y: plot.data[k + 1] ?? [], first, last }, columns, rows, width);
    paintExtents(pixels, width, height, extents, pixelColour(colour), devicePixelRatio, dash.map((part) => part * devicePixelRatio));
  });
  pen.putImageData(painted, 0, 0);
  plot.ctx.drawImage(sheet, left, top);
}
