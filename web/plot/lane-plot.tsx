import { effect } from '@preact/signals';
import { useEffect, useLayoutEffect, useRef } from 'preact/hooks';
import uPlot from 'uplot';
import type { Span } from '../../shared/span.ts';
import { formatNumber } from '../../shared/text.ts';
import { countUpTo } from '../../shared/ascending.ts';
import type { Together, Value } from './lines-together.ts';
import { isDense, paintDense } from './dense-plot.ts';
import { drawLevels, shadeSpans } from './marks.ts';
import { themeColour, type Stroke, themeTurns } from './palette.ts';
import { gutterOf, RIGHT } from './stage-geometry.ts';
import type { Range } from './range.ts';
import { drawnRange, shownRange } from './time-view.ts';

export interface LaneLine {
  readonly label: string;
  readonly stroke: Stroke;
}

export interface LanePlotProps {
  readonly lines: readonly LaneLine[];
  readonly data: Together;
  readonly height: number;
  readonly shaded: readonly Span[];
  readonly levels: readonly { readonly label: string; readonly value: number }[];
  /** Upright marks with a word beside them, e.g. fills. */
  readonly events: readonly { readonly at: number; readonly label: string }[];
}

/** The lines of one lane. The stage around it owns pointer, cursor and time axis; this only draws, and follows the shown range. */
export function LanePlot(props: LanePlotProps) {
  const place = useRef<HTMLDivElement>(null);
  const plot = useRef<uPlot | undefined>(undefined);
  const latest = useRef(props);
  latest.current = props;
  const shape = props.lines.map((line) => `${line.label}|${line.stroke.colour}|${line.stroke.dash.join()}`).join('\n');

  useEffect(() => {
    const element = place.current;
    if (element === null) return undefined;
    const make = (): uPlot => {
      const made = new uPlot(optionsOf(latest, element.clientWidth), columnsOf(latest.current.data), element);
      plot.current = made;
      showRange(made);
      return made;
    };
    let made = make();
    const watcher = new ResizeObserver(() => {
      if (gutterOf(element.clientWidth) === gutterOf(made.width)) made.setSize({ width: element.clientWidth, height: latest.current.height });
      else {
        made.destroy();
        made = make();
      }
    });
    watcher.observe(element);
    const stopFollowing = effect(() => {
      void drawnRange.value;
      if (!isShown(made)) showRange(made);
    });
    let isFirst = true;
    const stopTheme = effect(() => {
      void themeTurns.value;
      if (isFirst) isFirst = false;
      else {
        made.destroy();
        made = make();
      }
    });
    return () => {
      stopFollowing();
      stopTheme();
      watcher.disconnect();
      made.destroy();
      plot.current = undefined;
    };
  }, [shape, props.height]);

  /* before the page is painted, so that no frame goes by without the new lines */
  useLayoutEffect(() => {
    const made = plot.current;
    if (made === undefined) return;
    made.setData(columnsOf(props.data), false);
    showRange(made);
  }, [props.data, props.shaded, props.levels, props.events]);

  return <div ref={place} class="lane-plot" />;
}

const columnsOf = ({ x, lines }: Together): uPlot.AlignedData => [x as number[], ...lines.map((line) => line as Value[])];

function showRange(plot: uPlot): void {
  const { from, to } = shownRange.peek();
  plot.setScale('x', { min: from, max: to });
}

function isShown(plot: uPlot): boolean {
  const { from, to } = shownRange.peek();
  const { min, max } = plot.scales['x'] ?? {};
  return min === from && max === to;
}

function optionsOf(latest: { readonly current: LanePlotProps }, width: number): uPlot.Options {
  const { lines, height } = latest.current;
  const faint = themeColour('--rule');
  const axis = { stroke: themeColour('--quiet'), grid: { stroke: faint, width: 1 }, ticks: { show: false }, font: '11px system-ui, sans-serif' };
  return {
    width: Math.max(120, width),
    height,
    padding: [6, RIGHT, 4, 0],
    scales: { x: { time: false }, y: { range: () => roomy(latest.current.data, shownRange.peek(), latest.current.levels) } },
    axes: [
      { show: false },
      { ...axis, size: gutterOf(width), gap: 6, space: 26, values: (_, splits) => splits.map((y) => formatNumber(y, decimalsFor(splits))) },
    ],
    series: [{}, ...lines.map((line): uPlot.Series => ({ label: line.label, auto: false, stroke: line.stroke.colour, width: 1, dash: [...line.stroke.dash], points: { show: false }, paths: strokeUnlessDense }))],
    legend: { show: false },
    cursor: { show: false },
    select: { show: false, left: 0, top: 0, width: 0, height: 0 },
    hooks: {
      drawClear: [(plot) => shadeSpans(plot, latest.current.shaded, 0.5)],
      draw: [(plot) => {
        if (isDense(plot)) paintDense(plot, latest.current.lines.map((line) => line.stroke));
        drawLevels(plot, latest.current.levels);
        drawEvents(plot, latest.current.events);
      }],
    },
  };
}

const stroke = uPlot.paths.linear?.();
const strokeUnlessDense: uPlot.Series.PathBuilder = (plot, series, from, to) => (stroke === undefined || isDense(plot) ? null : stroke(plot, series, from, to));

function drawEvents(plot: uPlot, events: LanePlotProps['events']): void {
  const { ctx, bbox } = plot;
  const ratio = devicePixelRatio;
  ctx.save();
  ctx.strokeStyle = ctx.fillStyle = themeColour('--quiet');
  ctx.lineWidth = ratio;
  ctx.font = `${11 * ratio}px system-ui, sans-serif`;
  ctx.textAlign = 'left';
  let free = -Infinity;
  for (const { at, label } of events) {
    const x = Math.round(plot.valToPos(at, 'x', true));
    if (x < bbox.left || x > bbox.left + bbox.width) continue;
    ctx.beginPath();
    ctx.moveTo(x, bbox.top);
    ctx.lineTo(x, bbox.top + bbox.height);
    ctx.stroke();
    if (x < free) continue;
    ctx.fillText(label, x + 4 * ratio, bbox.top + 11 * ratio);
    free = x + ctx.measureText(label).width + 8 * ratio;
  }
  ctx.restore();
}

/** Room above and below what is in view; levels in view; a quiet line does not fill the lane with its noise. */
function roomy({ x, lines }: Together, { from, to }: Range, levels: LanePlotProps['levels']): [number, number] {
  let low = Math.min(...levels.map(({ value }) => value));
  let high = Math.max(...levels.map(({ value }) => value));
  let [first, beyond] = [countUpTo(x, from), countUpTo(x, to)];
  /* looking in between two points: the line there is theirs */
  if (beyond - first < 2) [first, beyond] = [Math.max(0, first - 1), Math.min(x.length, beyond + 1)];
  for (const line of lines) {
    for (let i = first; i < beyond; i++) {
      const value = line[i];
      if (value === null || value === undefined) continue;
      if (value < low) low = value;
      if (value > high) high = value;
    }
  }
  if (low > high) return [0, 1];
  const margin = Math.max((high - low) * 0.1, Math.abs(high) * 0.01, 1e-9);
  return [low >= 0 && low - margin < 0 ? 0 : low - margin, high + margin];
}

function decimalsFor(splits: readonly number[]): number {
  const step = Math.abs((splits[1] ?? 1) - (splits[0] ?? 0));
  return step >= 1 || step === 0 ? 0 : Math.min(4, Math.ceil(-Math.log10(step) - 1e-9));
}
