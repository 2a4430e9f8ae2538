import { themeColour } from '../../plot/palette.ts';
import type { Ramp } from '../../plot/ramp.ts';
import type { Range } from '../../plot/range.ts';
import type { Field, Place } from './field-store.ts';
import { toX, toY, type Sight } from './map-sight.ts';

type Pen = CanvasRenderingContext2D;

/** Values per piece as shares of the ramp, 0 … 1; NaN = not coloured. */
export interface Shade {
  readonly share: Float32Array;
  readonly ramp: Ramp;
}

/** px; finer steps are not drawn. */
const STEP = 1.5;

/** Covered ground, plain or by colour, with what was covered twice and what was missed. */
export function paintGround(pen: Pen, sight: Sight, field: Field, shade: Shade | undefined, patches: { readonly overlaps: boolean; readonly misses: boolean }): void {
  pen.fillStyle = themeColour('--covered');
  pen.strokeStyle = themeColour('--covered-edge');
  pen.lineWidth = 1;
  if (field.ribbons.length === 0) paintWay(pen, sight, field, { from: -Infinity, to: Infinity });
  for (const { first, end } of field.ribbons) {
    pen.beginPath();
    traceRibbon(pen, sight, field.corner, first, end);
    pen.fill();
    if (shade === undefined && (field.width ?? 0) * sight.scale > 7) pen.stroke();
  }
  if (shade !== undefined) paintShade(pen, sight, field, shade);
  for (const patch of field.patches) {
    if (patch.kind === 'overlap' ? !patches.overlaps : !patches.misses) continue;
    pen.beginPath();
    patch.outline.forEach(([east, north], k) => (k === 0 ? pen.moveTo(toX(sight, east), toY(sight, north)) : pen.lineTo(toX(sight, east), toY(sight, north))));
    pen.closePath();
    pen.fillStyle = pen.strokeStyle = themeColour(patch.kind === 'overlap' ? '--overlap' : '--missed');
    pen.lineWidth = patch.kind === 'overlap' ? 1.5 : 2;
    pen.setLineDash(patch.kind === 'overlap' ? [] : [4, 2]);
    pen.fill();
    pen.stroke();
  }
  pen.setLineDash([]);
}

function traceRibbon(pen: Pen, sight: Sight, corner: Float32Array, first: number, end: number): void {
  const side = (east: number, north: number, from: number, to: number, by: 1 | -1): void => {
    let [lastX, lastY] = [Infinity, Infinity];
    for (let piece = from; piece !== to; piece += by) {
      const x = toX(sight, corner[piece * 8 + east] as number);
      const y = toY(sight, corner[piece * 8 + north] as number);
      if (Math.abs(x - lastX) + Math.abs(y - lastY) < STEP && piece + by !== to) continue;
      [lastX, lastY] = [x, y];
      pen.lineTo(x, y);
    }
  };
  const point = (piece: number, k: number): void => pen.lineTo(toX(sight, corner[piece * 8 + k] as number), toY(sight, corner[piece * 8 + k + 1] as number));
  pen.moveTo(toX(sight, corner[first * 8] as number), toY(sight, corner[first * 8 + 1] as number));
  side(0, 1, first, end, 1);
  point(end - 1, 6);
  point(end - 1, 4);
  side(2, 3, end - 1, first - 1, -1);
  pen.closePath();
}

/** Pieces in bins of colour, several together where they are smaller than a pixel or two. */
function paintShade(pen: Pen, sight: Sight, { corner, ribbons }: Field, { share, ramp }: Shade): void {
  const BINS = 32;
  const bins: number[][] = Array.from({ length: BINS }, () => []);
  for (const { first, end } of ribbons) {
    for (let piece = first; piece < end;) {
      let sum = 0;
      let known = 0;
      let last = piece;
      const [x, y] = [toX(sight, corner[piece * 8] as number), toY(sight, corner[piece * 8 + 1] as number)];
      for (; last < end; last++) {
        const value = share[last] as number;
        if (!Number.isNaN(value)) {
          sum += value;
          known++;
        }
        if (Math.hypot(toX(sight, corner[last * 8 + 6] as number) - x, toY(sight, corner[last * 8 + 7] as number) - y) > 2) break;
      }
      last = Math.min(last, end - 1);
      if (known > 0) (bins[Math.min(BINS - 1, Math.max(0, Math.floor((sum / known) * BINS)))] as number[]).push(piece, last);
      piece = last + 1;
    }
  }
  pen.lineWidth = 0.7;
  bins.forEach((pairs, bin) => {
    if (pairs.length === 0) return;
    pen.fillStyle = pen.strokeStyle = ramp.colourOf((bin + 0.5) / BINS);
    pen.beginPath();
    for (let i = 0; i < pairs.length; i += 2) {
      const [rear, front] = [(pairs[i] as number) * 8, (pairs[i + 1] as number) * 8];
      const to = (base: number, k: number): readonly [number, number] => [toX(sight, corner[base + k] as number), toY(sight, corner[base + k + 1] as number)];
      pen.moveTo(...to(rear, 0));
      pen.lineTo(...to(rear, 2));
      pen.lineTo(...to(front, 4));
      pen.lineTo(...to(front, 6));
      pen.closePath();
    }
    pen.fill();
    pen.stroke();
  });
}

/** The way driven in a stretch of time. */
export function paintWay(pen: Pen, sight: Sight, { time, east, north, broken }: Field, { from, to }: Range): void {
  pen.beginPath();
  let [lastX, lastY] = [Infinity, Infinity];
  let isDown = false;
  for (let i = firstAfter(time, from); i < time.length && (time[i] as number) <= to; i++) {
    const [x, y] = [toX(sight, east[i] as number), toY(sight, north[i] as number)];
    if (!isDown || broken[i] === 1) pen.moveTo(x, y);
    else if (Math.abs(x - lastX) + Math.abs(y - lastY) < STEP) continue;
    else pen.lineTo(x, y);
    isDown = true;
    [lastX, lastY] = [x, y];
  }
  pen.strokeStyle = themeColour('--way');
  pen.lineWidth = 1.25;
  pen.stroke();
}

function firstAfter(time: Float64Array, from: number): number {
  let low = 0;
  let high = time.length;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if ((time[middle] as number) < from) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** Where findings are; the chosen one strong. */
export function paintPlaces(pen: Pen, sight: Sight, { places }: Field, chosen: string | undefined): void {
  pen.lineJoin = pen.lineCap = 'round';
  for (const place of places.toSorted((a, b) => Number(a.finding === chosen) - Number(b.finding === chosen))) {
    pen.beginPath();
    place.points.forEach(([east, north], k) => (k === 0 ? pen.moveTo(toX(sight, east), toY(sight, north)) : pen.lineTo(toX(sight, east), toY(sight, north))));
    pen.strokeStyle = themeColour('--action');
    const isChosen = place.finding === chosen;
    pen.globalAlpha = isChosen || chosen === undefined ? 1 : 0.45;
    pen.lineWidth = isChosen ? 2.5 : 1.5;
    if (place.kind === 'area') pen.closePath();
    pen.stroke();
  }
  pen.globalAlpha = 1;
}

export function paintMarker(pen: Pen, sight: Sight, place: Place): void {
  const [x, y] = [toX(sight, place.east), toY(sight, place.north)];
  pen.save();
  pen.translate(x, y);
  pen.rotate(place.heading);
  pen.beginPath();
  pen.moveTo(0, -12);
  pen.lineTo(8, 9);
  pen.lineTo(0, 4);
  pen.lineTo(-8, 9);
  pen.closePath();
  pen.lineWidth = 4;
  pen.strokeStyle = themeColour('--sheet');
  pen.stroke();
  pen.fillStyle = themeColour('--mark');
  pen.fill();
  pen.restore();
}

/** Scale bar in the reader's lengths, and north. */
export function paintScale(pen: Pen, sight: Sight, units: 'metric' | 'us'): void {
  const metresPer = units === 'us' ? 0.3048 : 1;
  const wanted = 110 / sight.scale / metresPer;
  const power = 10 ** Math.floor(Math.log10(wanted));
  const length = [5, 2, 1].map((step) => step * power).find((each) => each <= wanted) ?? power;
  const pixels = length * metresPer * sight.scale;
  const label = units === 'us' ? `${length} ft` : length >= 1000 ? `${length / 1000} km` : `${length} m`;
  const [x, y] = [14, sight.height - 14];
  pen.font = '12px system-ui, sans-serif';
  const width = Math.max(pixels, 10) + 12 + pen.measureText(label).width;
  pen.fillStyle = themeColour('--sheet');
  pen.globalAlpha = 0.85;
  pen.fillRect(x - 6, y - 14, width + 12, 22);
  pen.fillRect(sight.width - 34, 6, 28, 40);
  pen.globalAlpha = 1;
  pen.strokeStyle = pen.fillStyle = themeColour('--ink');
  pen.lineWidth = 1.5;
  pen.beginPath();
  pen.moveTo(x, y - 5);
  pen.lineTo(x, y);
  pen.lineTo(x + pixels, y);
  pen.lineTo(x + pixels, y - 5);
  pen.stroke();
  pen.textBaseline = 'alphabetic';
  pen.textAlign = 'left';
  pen.fillText(label, x + pixels + 8, y + 2);
  pen.textAlign = 'center';
  pen.fillText('N', sight.width - 20, 42);
  pen.beginPath();
  pen.moveTo(sight.width - 20, 10);
  pen.lineTo(sight.width - 14, 28);
  pen.lineTo(sight.width - 20, 24);
  pen.lineTo(sight.width - 26, 28);
  pen.closePath();
  pen.fill();
}
