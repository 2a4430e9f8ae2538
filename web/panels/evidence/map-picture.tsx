import { useEffect, useRef } from 'preact/hooks';
import type { MapEvidence } from '../../../shared/evidence.ts';
import { renderText } from '../../../shared/text.ts';
import { themeColour } from '../../plot/palette.ts';
import { reading } from '../../state.ts';

const HEIGHT = 340;
const MARGIN = 18;

type Point = readonly [number, number];

/** Where on the field: paths and areas on the local plane, north up, with a scale bar. */
export function MapPicture({ evidence }: { readonly evidence: MapEvidence }) {
  const canvas = useRef<HTMLCanvasElement>(null);
  useEffect(() => {
    const element = canvas.current;
    if (element === null) return undefined;
    const draw = (): void => paint(element, evidence);
    draw();
    const watcher = new ResizeObserver(draw);
    watcher.observe(element.parentElement as Element);
    return () => watcher.disconnect();
  }, [evidence]);
  const parts = [...evidence.lines, ...evidence.areas].filter((part) => part.role === 'subject').map((part) => renderText(part.label, reading.value));
  return <canvas ref={canvas} class="picture" role="img" tabIndex={0} aria-label={`${renderText(evidence.title, reading.value)}. North is up. Marked: ${parts.join('; ')}`} />;
}

function paint(element: HTMLCanvasElement, evidence: MapEvidence): void {
  const width = Math.max(280, element.parentElement?.clientWidth ?? 600);
  const ratio = devicePixelRatio;
  element.width = width * ratio;
  element.height = HEIGHT * ratio;
  element.style.height = `${HEIGHT}px`;
  const context = element.getContext('2d');
  const points = [...evidence.lines, ...evidence.areas].flatMap((part) => part.points);
  if (context === null || points.length === 0) return;
  context.scale(ratio, ratio);
  let [west, east, south, north] = [Infinity, -Infinity, Infinity, -Infinity];
  for (const [x, y] of points) {
    west = Math.min(west, x);
    east = Math.max(east, x);
    south = Math.min(south, y);
    north = Math.max(north, y);
  }
  const scale = Math.min((width - 2 * MARGIN) / Math.max(1, east - west), (HEIGHT - 2 * MARGIN - 20) / Math.max(1, north - south));
  const place = ([x, y]: Point): Point => [MARGIN + (x - west) * scale, HEIGHT - MARGIN - 20 - (y - south) * scale];
  const trace = (line: readonly Point[]): void => {
    context.beginPath();
    line.forEach((point, index) => (index === 0 ? context.moveTo(...place(point)) : context.lineTo(...place(point))));
  };
  for (const area of evidence.areas) {
    trace(area.points);
    context.fillStyle = area.role === 'subject' ? themeColour('--shade') : themeColour('--mark-soft');
    context.fill();
  }
  for (const line of evidence.lines) {
    trace(line.points);
    context.strokeStyle = line.role === 'subject' ? themeColour('--action') : themeColour('--rule');
    context.lineWidth = line.role === 'subject' ? 3 : 1;
    context.stroke();
  }
  scaleBar(context, scale);
}

function scaleBar(context: CanvasRenderingContext2D, scale: number): void {
  const wanted = 120 / scale;
  const power = 10 ** Math.floor(Math.log10(wanted));
  const metres = [5, 2, 1].map((step) => step * power).find((length) => length <= wanted) ?? power;
  context.strokeStyle = themeColour('--quiet');
  context.fillStyle = themeColour('--quiet');
  context.lineWidth = 2;
  context.font = '12px system-ui, sans-serif';
  context.beginPath();
  context.moveTo(MARGIN, HEIGHT - 10);
  context.lineTo(MARGIN + metres * scale, HEIGHT - 10);
  context.stroke();
  context.fillText(`${metres} m, north up`, MARGIN + metres * scale + 8, HEIGHT - 6);
}
