import type uPlot from 'uplot';
import type { Span } from '../../shared/span.ts';
import { themeColour } from './palette.ts';

/** The finding's own stretches as bands behind the lines, at least two pixels wide. */
export function shadeSpans(plot: uPlot, spans: readonly Span[], strength = 1): void {
  const { ctx, bbox } = plot;
  ctx.save();
  ctx.globalAlpha = strength;
  ctx.fillStyle = themeColour('--shade');
  for (const span of spans) {
    const left = Math.max(bbox.left, plot.valToPos(span.start, 'x', true));
    const right = Math.min(bbox.left + bbox.width, Math.max(left + 2, plot.valToPos(span.end, 'x', true)));
    if (right > left) ctx.fillRect(left, bbox.top, right - left, bbox.height);
  }
  ctx.restore();
}

/** Reference values, e.g. a fan floor, as dashed lines with their name. */
export function drawLevels(plot: uPlot, levels: readonly { readonly label: string; readonly value: number }[]): void {
  const { ctx, bbox } = plot;
  const ratio = devicePixelRatio;
  ctx.save();
  ctx.strokeStyle = themeColour('--limit');
  ctx.fillStyle = themeColour('--limit');
  ctx.lineWidth = ratio;
  ctx.font = `${12 * ratio}px system-ui, sans-serif`;
  ctx.textAlign = 'left';
  ctx.setLineDash([6 * ratio, 4 * ratio]);
  for (const level of levels) {
    const y = plot.valToPos(level.value, 'y', true);
    if (y < bbox.top || y > bbox.top + bbox.height) continue;
    ctx.beginPath();
    ctx.moveTo(bbox.left, y);
    ctx.lineTo(bbox.left + bbox.width, y);
    ctx.stroke();
    ctx.fillText(level.label, bbox.left + 6 * ratio, y + 13 * ratio < bbox.top + bbox.height ? y + 13 * ratio : y - 4 * ratio);
  }
  ctx.restore();
}
