import { useEffect, useRef } from 'preact/hooks';
import uPlot from 'uplot';
import type { Span } from '../../shared/span.ts';
import { formatNumber } from '../../shared/text.ts';
import type { Value } from './lines-together.ts';
import { shadeSpans, drawLevels } from './marks.ts';
import { themeColour, type Stroke, themeTurns } from './palette.ts';
import { keyboardCursor } from './keyboard.ts';

export interface PlotLine {
  readonly label: string;
  readonly stroke: Stroke;
  readonly y: readonly Value[];
  readonly style: 'line' | 'points' | 'steps';
  /** Drawn as the edge of a band with the line before it, not as a line. */
  readonly isEdge?: boolean;
}

export interface Ticks {
  readonly at: readonly number[];
  readonly label: (x: number) => string;
}

export interface PlotProps {
  /** What the picture shows, for people who do not see it. */
  readonly name: string;
  readonly x: readonly number[];
  readonly lines: readonly PlotLine[];
  readonly height: number;
  readonly unit: string;
  /** Text of an x value; clock time for plots over time. */
  readonly formatX: (x: number) => string;
  /** Where to mark the x axis, at most `most` times; evenly by number when left out. */
  readonly ticks?: (from: number, to: number, most: number) => Ticks;
  readonly range?: { readonly from: number; readonly to: number };
  readonly shaded?: readonly Span[];
  readonly levels?: readonly { readonly label: string; readonly value: number }[];
  /** Plots with the same key share their cursor. */
  readonly cursorKey?: string;
  readonly onRange?: (from: number, to: number) => void;
  readonly onCursor?: (x: number) => void;
}

/** One uPlot, fed with columns; remade when its lines change, resized with its place. */
export function Plot(props: PlotProps) {
  const place = useRef<HTMLDivElement>(null);
  const plot = useRef<uPlot | undefined>(undefined);
  const live = useRef<HTMLParagraphElement>(null);
  const latest = useRef(props);
  latest.current = props;
  const shape = props.lines.map((line) => `${line.label}|${line.style}|${line.stroke.colour}`).join('\n');

  useEffect(() => {
    const element = place.current;
    if (element === null) return undefined;
    const made = new uPlot(optionsOf(latest, element.clientWidth), dataOf(latest.current), element);
    plot.current = made;
    const watcher = new ResizeObserver(() => made.setSize({ width: element.clientWidth, height: latest.current.height }));
    watcher.observe(element);
    return () => {
      watcher.disconnect();
      made.destroy();
      plot.current = undefined;
    };
  }, [shape, props.unit, props.height, props.cursorKey, themeTurns.value]);

  useEffect(() => {
    plot.current?.setData(dataOf(props), false);
    setRange(plot.current, props);
  }, [props.x, props.lines, props.range?.from, props.range?.to, props.shaded]);

  return (
    <figure class="plot" aria-label={props.name} tabIndex={0}
      onKeyDown={(event) => keyboardCursor(event, plot.current, (index) => announce(live.current, latest.current, index))}>
      <div ref={place} class="plot-canvas" />
      <p ref={live} class="unseen" aria-live="polite" />
    </figure>
  );
}

function dataOf(props: PlotProps): uPlot.AlignedData {
  return [props.x as number[], ...props.lines.map((line) => line.y as (number | null | undefined)[])];
}

function setRange(plot: uPlot | undefined, props: PlotProps): void {
  if (plot === undefined) return;
  const min = props.range?.from ?? props.x[0] ?? 0;
  const max = props.range?.to ?? props.x[props.x.length - 1] ?? 1;
  plot.setScale('x', { min, max: max > min ? max : min + 1 });
}

function announce(live: HTMLElement | null, props: PlotProps, index: number): void {
  const x = props.x[index];
  if (live === null || x === undefined) return;
  const values = props.lines.filter((line) => line.isEdge !== true).map((line) => `${line.label} ${showValue(line.y[index], props.unit)}`);
  live.textContent = `${props.formatX(x)}: ${values.join(', ')}`;
}

/** `unit` may carry a name before it, as y axes of evidence do: `weight, kg`. */
function showValue(value: Value, unit: string): string {
  if (value === null || value === undefined) return '–';
  const plain = unit.split(', ').at(-1) ?? '';
  return `${formatNumber(value, Math.abs(value) < 10 ? 3 : 1)}${plain === '' ? '' : ` ${plain}`}`;
}

function optionsOf(latest: { readonly current: PlotProps }, place: number): uPlot.Options {
  const { lines, height, unit, cursorKey } = latest.current;
  const faint = themeColour('--rule');
  const text = themeColour('--quiet');
  const axis = { stroke: text, grid: { stroke: faint, width: 1 }, ticks: { stroke: faint, width: 1 }, font: '12px system-ui, sans-serif' };
  return {
    width: Math.max(200, place),
    height,
    scales: { x: { time: false }, y: { range: (_, min, max) => padded(min, max, latest.current.levels) } },
    axes: [
      {
        ...axis, space: 90,
        ...(latest.current.ticks === undefined ? {} : { splits: (plot: uPlot, _: number, min: number, max: number) => [...(latest.current.ticks?.(min, max, Math.max(2, Math.floor(plot.width / 100))).at ?? [])] }),
        values: (plot, splits) => splits.map((x) => latest.current.ticks?.(plot.scales['x']?.min ?? 0, plot.scales['x']?.max ?? 1, Math.max(2, Math.floor(plot.width / 100))).label(x) ?? latest.current.formatX(x)),
      },
      { ...axis, size: 62, label: unit, labelSize: 18, labelFont: '12px system-ui, sans-serif', values: (_, splits) => splits.map((y) => formatNumber(y, decimalsFor(splits))) },
    ],
    series: [
      { label: 'time', value: (_, x) => (x === null || x === undefined ? '–' : latest.current.formatX(x)) },
      ...lines.map((line): uPlot.Series => ({
        label: line.label,
        stroke: line.isEdge === true ? 'transparent' : line.stroke.colour,
        width: 1,
        dash: [...line.stroke.dash],
        ...(line.style === 'points' ? { paths: () => null } : line.style === 'steps' && uPlot.paths.stepped !== undefined ? { paths: uPlot.paths.stepped({ align: 1 }) } : {}),
        points: line.style === 'points' ? { show: true, size: 5, fill: line.stroke.colour } : { show: false },
        value: (_, value) => showValue(value, unit),
      })),
    ],
    bands: lines.flatMap((line, index) => (line.isEdge === true && lines[index + 1]?.isEdge === true ? [{ series: [index + 2, index + 1] as [number, number], fill: `color-mix(in srgb, ${line.stroke.colour} 18%, transparent)` }] : [])),
    legend: { show: true, live: true },
    cursor: {
      points: { one: true },
      drag: { x: true, y: false, setScale: false },
      ...(cursorKey === undefined ? {} : { sync: { key: cursorKey, setSeries: false } }),
    },
    hooks: {
      drawClear: [(plot) => shadeSpans(plot, latest.current.shaded ?? [])],
      draw: [(plot) => drawLevels(plot, latest.current.levels ?? [])],
      setSelect: [(plot) => {
        const { left, width } = plot.select;
        if (width === 0) return;
        plot.setSelect({ left: 0, top: 0, width: 0, height: 0 }, false);
        latest.current.onRange?.(plot.posToVal(left, 'x'), plot.posToVal(left + width, 'x'));
      }],
      setCursor: [(plot) => {
        const { left } = plot.cursor;
        if (left !== undefined && left >= 0) latest.current.onCursor?.(plot.posToVal(left, 'x'));
      }],
    },
  };
}

/** Room above and below, and levels in view. */
function padded(min: number | null, max: number | null, levels: PlotProps['levels']): [number, number] {
  const values = [...(min === null || max === null ? [] : [min, max]), ...(levels ?? []).map((level) => level.value)];
  if (values.length === 0) return [0, 1];
  const low = Math.min(...values);
  const high = Math.max(...values);
  const margin = high > low ? (high - low) * 0.08 : Math.max(Math.abs(high) * 0.1, 0.5);
  return [low >= 0 && low - margin < 0 ? 0 : low - margin, high + margin];
}

function decimalsFor(splits: readonly number[]): number {
  const step = Math.abs((splits[1] ?? 1) - (splits[0] ?? 0));
  return step >= 1 || step === 0 ? 0 : Math.min(4, Math.ceil(-Math.log10(step)));
}
