import type { HistogramEvidence } from '../../../shared/evidence.ts';
import { formatNumber, renderText, shownUnit } from '../../../shared/text.ts';
import { useDrawing } from '../../plot/drawing.ts';
import { themeColour } from '../../plot/palette.ts';
import { TableBehind } from '../../plot/table-behind.tsx';
import { reading } from '../../state.ts';

const HEIGHT = 220;
const LEFT = 46;
const BOTTOM = 40;
const TOP = 18;

/** How often each size came, as bars, with the reference values marked; the counts stand in the table behind. */
export function HistogramPicture({ evidence }: { readonly evidence: HistogramEvidence }) {
  const clock = reading.value;
  const shown = shownUnit(evidence.unit, clock.units);
  const edges = evidence.edges.map(shown.convert);
  const levels = evidence.levels.map(({ label, value }) => ({ label: renderText(label, clock), value: shown.convert(value) }));
  const digits = digitsOf(edges);
  const canvas = useDrawing(HEIGHT, (pen, width) => paint(pen, width, { edges, counts: evidence.counts, levels, digits, name: axisName(evidence.label, shown.label) }), [evidence, clock.units]);
  const most = evidence.counts.indexOf(Math.max(...evidence.counts));
  const words = `Most often ${formatNumber(edges[most] ?? 0, digits)} to ${formatNumber(edges[most + 1] ?? 0, digits)} ${shown.label}${levels.map((level) => `; ${level.label} at ${formatNumber(level.value, digits)}`).join('')}`;
  return (
    <>
      <canvas ref={canvas} class="picture" role="img" tabIndex={0} aria-label={`${renderText(evidence.title, clock)}. ${words}.`} />
      <TableBehind summary={`The ${evidence.counts.length} bars in numbers`} columns={[{ label: axisName(evidence.label, shown.label) }, { label: 'count', isNumber: true }]}
        rows={() => evidence.counts.map((count, index) => [`${formatNumber(edges[index] ?? 0, digits)} to ${formatNumber(edges[index + 1] ?? 0, digits)}`, String(count)])} />
    </>
  );
}

const axisName = (label: string, unit: string): string => (unit === '' ? label : `${label}, ${unit}`);

/** Digits that tell neighbouring edges apart. */
function digitsOf(edges: readonly number[]): number {
  const step = Math.abs((edges[1] ?? 1) - (edges[0] ?? 0));
  return step > 0 ? Math.min(4, Math.max(0, Math.ceil(-Math.log10(step)))) : 0;
}

interface Bars {
  readonly edges: readonly number[];
  readonly counts: readonly number[];
  readonly levels: readonly { readonly label: string; readonly value: number }[];
  readonly digits: number;
  readonly name: string;
}

function paint(pen: CanvasRenderingContext2D, width: number, { edges, counts, levels, digits, name }: Bars): void {
  const least = Math.min(edges[0] ?? 0, ...levels.map(({ value }) => value));
  const most = Math.max(edges.at(-1) ?? 1, ...levels.map(({ value }) => value));
  const highest = Math.max(1, ...counts);
  const ground = HEIGHT - BOTTOM;
  const x = (value: number): number => LEFT + ((value - least) / Math.max(1e-12, most - least)) * (width - LEFT - 12);
  const y = (count: number): number => ground - (count / highest) * (ground - TOP);
  pen.font = '12px system-ui, sans-serif';
  const quiet = themeColour('--quiet');
  pen.fillStyle = themeColour('--rule');
  for (const share of [0.5, 1]) {
    const count = Math.round(highest * share);
    pen.fillRect(LEFT, y(count), width - LEFT - 12, 1);
    pen.fillStyle = quiet;
    pen.textAlign = 'right';
    pen.fillText(formatNumber(count, 0), LEFT - 6, y(count) + 4);
    pen.fillStyle = themeColour('--rule');
  }
  pen.fillStyle = themeColour('--line-1');
  counts.forEach((count, index) => {
    const [left, right] = [x(edges[index] ?? 0), x(edges[index + 1] ?? 0)];
    pen.fillRect(left + 0.5, y(count), Math.max(1, right - left - 1), ground - y(count));
  });
  pen.fillStyle = quiet;
  pen.fillRect(LEFT, ground, width - LEFT - 12, 1);
  pen.textAlign = 'center';
  const stride = Math.max(1, Math.ceil((edges.length * 56) / Math.max(1, width - LEFT)));
  edges.forEach((edge, index) => {
    if (index % stride === 0) pen.fillText(formatNumber(edge, digits), x(edge), ground + 16);
  });
  pen.fillText(name, LEFT + (width - LEFT) / 2, HEIGHT - 6);
  pen.strokeStyle = pen.fillStyle = themeColour('--limit');
  pen.setLineDash([6, 4]);
  for (const { label, value } of levels) {
    pen.beginPath();
    pen.moveTo(x(value), TOP - 4);
    pen.lineTo(x(value), ground);
    pen.stroke();
    pen.textAlign = x(value) > width / 2 ? 'right' : 'left';
    pen.fillText(label, x(value) + (x(value) > width / 2 ? -5 : 5), TOP - 6);
  }
  pen.setLineDash([]);
}
