import { useComputed, useSignal, type ReadonlySignal, type Signal } from '@preact/signals';
import type { DayView } from '../../../shared/api.ts';
import { BLANK_RATIO, type RunRow } from '../../../shared/day-views.ts';
import { formatNumber } from '../../../shared/text.ts';
import { useDrawing } from '../../plot/drawing.ts';
import { isDark, themeColour, themeTurns } from '../../plot/palette.ts';
import { OPAQUE } from '../../plot/dense-lines.ts';
import { rampOf } from '../../plot/ramp.ts';
import { RIGHT, gutterOf, xOf } from '../../plot/stage-geometry.ts';
import { TableBehind } from '../../plot/table-behind.tsx';
import { cursor, drawnRange, shownRange } from '../../plot/time-view.ts';
import { address, go } from '../../state.ts';
import { ratioAt, ratioIn, type RunGrid } from './run-grid.ts';
import { setAside } from './set-aside.ts';

/** CSS pixels between towers. */
const TOWER_GAP = 4;

export interface RunPictureProps {
  readonly view: DayView;
  readonly grid: ReadonlySignal<RunGrid | undefined>;
  readonly chosen: Signal<number | undefined>;
}

/** All runs as one picture: a row per run, time across; as its mates = ground colour, less = warm, more = cold, off = nothing. */
export function RunPicture({ view, grid, chosen }: RunPictureProps) {
  const rows = useComputed(() => grid.value?.runs ?? []).value;
  const rowHeight = rows.length > 40 ? 6 : rows.length > 20 ? 9 : 14;
  const tops = topsOf(rows, rowHeight);
  const height = Math.max(40, (tops.at(-1) ?? 0) + rowHeight);
  const canvas = useDrawing(height, (pen, width) => paint(pen, width, { grid: grid.value, tops, rowHeight, chosen: chosen.value }), [rows, rowHeight]);
  const rowAt = (y: number): RunRow | undefined => rows[tops.findLastIndex((top) => y >= top)];
  const step = (by: number): void => {
    const now = rows.findIndex(({ run }) => run === chosen.value);
    chosen.value = rows[Math.min(rows.length - 1, Math.max(0, now < 0 ? 0 : now + by))]?.run;
  };
  if (grid.value !== undefined && rows.length === 0) return null;
  return (
    <figure class="lane" tabIndex={0} data-lane="runs" aria-label={`All ${rows.length} runs over time, each relative to its tower mates. Up and down choose a run.`}
      onKeyDown={(event) => {
        if (event.key !== 'ArrowUp' && event.key !== 'ArrowDown') return;
        event.preventDefault();
        step(event.key === 'ArrowUp' ? -1 : 1);
      }}>
      <figcaption class="lane-head">
        <strong>Runs</strong><span class="quiet">each against its tower mates</span>
        <Legend />
      </figcaption>
      {grid.value === undefined && <p class="quiet">Comparing the runs…</p>}
      <canvas ref={canvas} class="picture runs" aria-hidden="true" onClick={(event) => { chosen.value = rowAt(event.offsetY)?.run; }} />
      <ChosenRun view={view} grid={grid} chosen={chosen} />
      <TableBehind summary={<>Numbers<span class="unseen">: the runs in view</span></>} columns={[{ label: 'run' }, { label: 'tower' }, { label: 'mean ÷ mates', isNumber: true }, { label: 'lowest', isNumber: true }, { label: 'highest', isNumber: true }, { label: 'judged' }]} rows={() => tableRows(grid.peek())} />
    </figure>
  );
}

function topsOf(rows: readonly RunRow[], rowHeight: number): readonly number[] {
  let top = 0;
  return rows.map(({ tower }, row) => {
    if (row > 0) top += rowHeight + (tower === rows[row - 1]?.tower ? 0 : TOWER_GAP);
    return top;
  });
}

function Legend() {
  void themeTurns.value;
  const ramp = rampOf('two-sided', isDark());
  return (
    <span class="ramp-legend"><span>none</span>
      <svg width="84" height="10" aria-hidden="true">{Array.from({ length: 21 }, (_, k) => <rect key={k} x={k * 4} y="0" width="4.5" height="10" fill={ramp.colourOf(k / 20)} />)}</svg>
      <span>double</span>
    </span>
  );
}

function ChosenRun({ view, grid, chosen }: RunPictureProps) {
  const said = useSignal('');
  const run = chosen.value;
  const row = grid.value?.runs.findIndex((each) => each.run === run) ?? -1;
  const its = grid.value?.runs[row];
  if (grid.value === undefined || its === undefined) return <p class="quiet hint" data-own-pointer>Click a row, or press up and down, for one run.{said.value === '' ? '' : ` ${said.value}`}</p>;
  const channel = `run.${its.run}.count`;
  const at = cursor.value;
  const ratio = at === undefined ? Number.NaN : ratioAt(grid.value, row, at);
  const change = async (): Promise<void> => {
    said.value = 'Judging again…';
    said.value = await setAside(view, `run.${its.run}`, !its.aside);
  };
  return (
    <div class="chosen" data-own-pointer>
      <p><strong>Run {its.run}</strong>{its.tower === '' ? '' : `, tower ${its.tower}`}{its.aside ? ', set aside: shown, not judged' : ''}
        {at !== undefined && <span> · {Number.isNaN(ratio) ? 'off or not logged here' : `${formatNumber(ratio * 100, 0)} % of its mates here`}</span>}</p>
      <div class="row tight">
        <button type="button" class="small" disabled={address.value.channels.includes(channel)} onClick={() => go({ channels: [...address.value.channels, channel] })}>Add as a lane</button>
        <button type="button" class="small" onClick={() => void change()}>{its.aside ? 'Take back: judge this sensor' : 'Set this sensor aside'}</button>
        <button type="button" class="small" onClick={() => { chosen.value = undefined; }}>Close</button>
        <span role="status" class="quiet">{said.value}</span>
      </div>
    </div>
  );
}

function tableRows(grid: RunGrid | undefined): readonly (readonly string[])[] {
  if (grid === undefined) return [];
  const { from, to } = shownRange.peek();
  return grid.runs.map(({ run, tower, aside }, row) => {
    const known: number[] = [];
    for (let column = 0; column < grid.columns; column++) {
      const at = grid.from + ((column + 0.5) / grid.columns) * (grid.to - grid.from);
      const ratio = ratioIn(grid, row, column);
      if (at >= from && at <= to && !Number.isNaN(ratio)) known.push(ratio);
    }
    const mean = known.reduce((sum, each) => sum + each, 0) / known.length;
    return [String(run), tower, formatNumber(mean, 2), formatNumber(Math.min(...known), 2), formatNumber(Math.max(...known), 2), aside ? 'set aside' : 'yes'];
  });
}

interface Painted {
  readonly grid: RunGrid | undefined;
  readonly tops: readonly number[];
  readonly rowHeight: number;
  readonly chosen: number | undefined;
}

function paint(pen: CanvasRenderingContext2D, width: number, { grid, tops, rowHeight, chosen }: Painted): void {
  if (grid === undefined) return;
  void drawnRange.value;
  const range = shownRange.peek();
  const bitmap = bitmapOf(grid, isDark());
  const [left, right] = [xOf(grid.from, range, width), xOf(grid.to, range, width)];
  const [ink, quiet, mark] = [themeColour('--ink'), themeColour('--quiet'), themeColour('--mark')];
  pen.save();
  pen.beginPath();
  pen.rect(gutterOf(width), 0, width - gutterOf(width) - RIGHT, tops.length === 0 ? 0 : (tops.at(-1) as number) + rowHeight);
  pen.clip();
  pen.imageSmoothingEnabled = false;
  /* a tower at a time: what is drawn once is drawn fast */
  for (let row = 0; row < tops.length;) {
    const { tower } = grid.runs[row] as RunRow;
    let end = row + 1;
    while (end < tops.length && grid.runs[end]?.tower === tower) end++;
    pen.drawImage(bitmap, 0, row, grid.columns, end - row, left, tops[row] as number, right - left, (end - row) * rowHeight);
    row = end;
  }
  if (rowHeight > 6) {
    pen.fillStyle = themeColour('--ground');
    for (const top of tops) pen.fillRect(gutterOf(width), top - 1, width, 1);
  }
  pen.restore();
  pen.font = '11px system-ui, sans-serif';
  pen.textBaseline = 'middle';
  pen.textAlign = 'right';
  const end = gutterOf(width) - 8;
  const chosenTop = tops[grid.runs.findIndex(({ run }) => run === chosen)] ?? -Infinity;
  grid.runs.forEach(({ run, tower, aside }, row) => {
    const y = (tops[row] as number) + rowHeight / 2;
    if (run === chosen) {
      pen.strokeStyle = mark;
      pen.lineWidth = 2;
      pen.strokeRect(gutterOf(width) - 1, (tops[row] as number) - 1, width - gutterOf(width) - RIGHT + 2, rowHeight + 1);
      pen.fillStyle = mark;
      pen.fillText(`▸ ${run}`, end + 6, y);
      return;
    }
    if (Math.abs(chosenTop - (tops[row] as number)) < 12) return;
    pen.fillStyle = aside ? ink : quiet;
    if (tower !== grid.runs[row - 1]?.tower) pen.fillText(tower === '' ? String(run) : width < 560 ? tower : `${tower}  ${run}`, end, y + (rowHeight < 9 ? 3 : 0));
    else if (aside) pen.fillText(`${run} ×`, end, y);
  });
}

/** Thousandths: the end of the ramp. */
const DOUBLE = 2000;

let painted: { readonly grid: RunGrid; readonly dark: boolean; readonly bitmap: HTMLCanvasElement } | undefined;

/** One pixel per cell, kept until the grid or the theme changes. */
function bitmapOf(grid: RunGrid, dark: boolean): HTMLCanvasElement {
  if (painted?.grid === grid && painted.dark === dark) return painted.bitmap;
  const bitmap = document.createElement('canvas');
  [bitmap.width, bitmap.height] = [grid.columns, Math.max(1, grid.runs.length)];
  const pen = bitmap.getContext('2d', { willReadFrequently: true });
  const image = new ImageData(bitmap.width, bitmap.height);
  /* A pixel is one word: colours are looked up by thousandths, up to double, and put down whole. */
  const { bytes, steps } = rampOf('two-sided', dark);
  const colours = new Uint32Array(DOUBLE + 1);
  for (let thousandths = 0; thousandths <= DOUBLE; thousandths++) {
    const step = 3 * Math.round((thousandths / DOUBLE) * (steps - 1));
    colours[thousandths] = OPAQUE | ((bytes[step + 2] as number) << 16) | ((bytes[step + 1] as number) << 8) | (bytes[step] as number);
  }
  const pixels = new Uint32Array(image.data.buffer);
  const { ratio } = grid;
  for (let i = 0; i < ratio.length; i++) {
    const thousandths = ratio[i] as number;
    if (thousandths !== BLANK_RATIO) pixels[i] = colours[Math.min(thousandths, DOUBLE)] as number;
  }
  pen?.putImageData(image, 0, 0);
  painted = { grid, dark, bitmap };
  return bitmap;
}
