import type { RunsEvidence } from '../../../shared/evidence.ts';
import { formatNumber, renderText, type Reading } from '../../../shared/text.ts';
import { useDrawing } from '../../plot/drawing.ts';
import { isDark, themeColour } from '../../plot/palette.ts';
import { rampOf } from '../../plot/ramp.ts';
import { TableBehind } from '../../plot/table-behind.tsx';
import { reading } from '../../state.ts';
import { clockTicks } from './trace-picture.tsx';

const LEFT = 58;
const RIGHT = 8;
const TOP = 8;
const BOTTOM = 26;
/** Flow at which the colours end: nothing, and twice the mates'. */
const FULL = 2;

/** Every run over time as one picture: a row per run, colour = flow relative to its tower mates. */
export function RunsPicture({ evidence }: { readonly evidence: RunsEvidence }) {
  const clock = reading.value;
  const row = Math.max(9, Math.min(20, Math.floor(320 / evidence.runs.length)));
  const height = TOP + evidence.runs.length * row + BOTTOM;
  const canvas = useDrawing(height, (pen, width) => paint(pen, width, row, evidence, clock), [evidence, clock]);
  const named = evidence.highlighted.join(', ');
  const rows = (): readonly (readonly string[])[] => evidence.runs.map((run, index) => {
    const { inside, outside } = means(evidence, index);
    return [`run ${run}`, evidence.towers[index] ?? '', percent(outside), percent(inside)];
  });
  return (
    <>
      <canvas ref={canvas} class="picture" role="img" tabIndex={0} aria-label={`${renderText(evidence.title, clock)}. ${evidence.runs.length} runs over time${named === '' ? '' : `; marked: run ${named}`}. The numbers are in the table below.`} />
      <RampKey />
      <TableBehind summary="Each run in numbers" columns={[{ label: 'run' }, { label: 'tower' }, { label: 'before and after, % of its mates', isNumber: true }, { label: 'in the marked time, % of its mates', isNumber: true }]} rows={rows} />
    </>
  );
}

const percent = (ratio: number): string => (Number.isFinite(ratio) ? formatNumber(ratio * 100, 0) : '–');

function RampKey() {
  const canvas = useDrawing(12, (pen, width) => {
    const ramp = rampOf('two-sided', isDark());
    for (let x = 0; x < width; x++) {
      pen.fillStyle = ramp.colourOf(x / width);
      pen.fillRect(x, 0, 1, 12);
    }
  }, []);
  return <p class="ramp-key"><span>nothing</span><canvas ref={canvas} aria-hidden="true" /><span>twice its tower mates; blank = off or not logged</span></p>;
}

function paint(pen: CanvasRenderingContext2D, width: number, rowHeight: number, evidence: RunsEvidence, clock: Reading): void {
  const ramp = rampOf('two-sided', isDark());
  const [ink, mark, quiet, rule] = ['--ink', '--mark', '--quiet', '--rule'].map(themeColour) as [string, string, string, string];
  const first = evidence.time[0] ?? 0;
  const last = evidence.time.at(-1) ?? first + 1;
  const bottom = TOP + evidence.runs.length * rowHeight;
  const x = (time: number): number => LEFT + ((time - first) / Math.max(1e-9, last - first)) * (width - LEFT - RIGHT);
  const y = (row: number): number => TOP + row * rowHeight;

  evidence.ratio.forEach((cells, row) => cells.forEach((value, cell) => {
    if (value === null || !Number.isFinite(value)) return;
    const left = x(evidence.time[cell] as number);
    pen.fillStyle = ramp.colourOf(value / FULL);
    pen.fillRect(left, y(row), Math.max(1, x(evidence.time[cell + 1] as number) - left + 0.4), rowHeight - 1);
  }));

  /* The marked time as brackets above, so that nothing lies over the colours. */
  pen.fillStyle = themeColour('--action');
  for (const span of evidence.shaded) {
    const [left, right] = [Math.max(LEFT, x(span.start)), Math.min(width - RIGHT, x(span.end))];
    if (right > left) pen.fillRect(left, 1, Math.max(2, right - left), 3);
  }

  pen.font = '12px system-ui, sans-serif';
  pen.textBaseline = 'middle';
  pen.textAlign = 'right';
  const isRoomy = rowHeight >= 13;
  evidence.runs.forEach((run, row) => {
    const isMarked = evidence.highlighted.includes(run);
    const startsTower = evidence.towers[row] !== evidence.towers[row - 1];
    const isNearMarked = evidence.highlighted.some((other) => other !== run && Math.abs(evidence.runs.indexOf(other) - row) * rowHeight < 13);
    if (startsTower && row > 0) {
      pen.fillStyle = rule;
      pen.fillRect(LEFT, y(row) - 1, width - LEFT - RIGHT, 1);
    }
    if (!isMarked && (isNearMarked || (!isRoomy && !startsTower))) return;
    pen.fillStyle = isMarked ? mark : quiet;
    pen.font = `${isMarked ? '600 ' : ''}12px system-ui, sans-serif`;
    pen.fillText(isMarked ? `run ${run}` : startsTower ? `${evidence.towers[row] ?? ''} ${run}` : String(run), LEFT - 8, y(row) + rowHeight / 2);
    if (isMarked) pen.fillRect(LEFT - 5, y(row), 3, rowHeight - 1);
  });

  pen.font = '12px system-ui, sans-serif';
  pen.textBaseline = 'alphabetic';
  pen.textAlign = 'center';
  const { at, label } = clockTicks(clock)(first, last, Math.max(2, Math.floor((width - LEFT) / 90)));
  for (const time of at) {
    pen.fillStyle = quiet;
    pen.fillRect(Math.round(x(time)), bottom, 1, 5);
    pen.fillStyle = ink;
    const text = label(time);
    const half = pen.measureText(text).width / 2;
    pen.fillText(text, Math.min(width - half, Math.max(half, x(time))), bottom + 19);
  }
}

/** Mean of a run inside the marked time and outside it. */
function means(evidence: RunsEvidence, row: number): { readonly inside: number; readonly outside: number } {
  const sums = { inside: [0, 0] as [number, number], outside: [0, 0] as [number, number] };
  evidence.ratio[row]?.forEach((value, cell) => {
    if (value === null || !Number.isFinite(value)) return;
    const at = evidence.time[cell] as number;
    const sum = evidence.shaded.some((span) => at >= span.start && at < span.end) ? sums.inside : sums.outside;
    sum[0] += value;
    sum[1] += 1;
  });
  return { inside: sums.inside[0] / sums.inside[1], outside: sums.outside[0] / sums.outside[1] };
}
