import type { EvidenceSeries, RunsEvidence, TableEvidence, TraceEvidence } from '../../../shared/evidence.ts';
import type { Span } from '../../../shared/span.ts';
import { runSubject, type Story } from './story.ts';

/** Cells of a runs picture, and points of a trace. */
const COLUMNS = 80;
const POINTS = 240;
const LEAST_MARGIN = 300;
const MOST_MARGIN = 1800;

/** The finding's stretch with some of the day around it. */
export function windowAround({ log }: Story, { start, end }: Span): Span {
  const margin = Math.min(MOST_MARGIN, Math.max(LEAST_MARGIN, (end - start) / 3));
  return { start: Math.max(0, start - margin), end: Math.min(log.cells * log.step, end + margin) };
}

/** Every run of some towers against what it should count. */
export function runsPicture(story: Story, towers: readonly number[], highlighted: readonly number[], shaded: readonly Span[], span: Span): RunsEvidence {
  const { log, drill } = story;
  const width = Math.max(log.step, Math.ceil((span.end - span.start) / COLUMNS / log.step) * log.step);
  const columns = Math.ceil((span.end - span.start) / width);
  const time = Array.from({ length: columns + 1 }, (_, c) => span.start + c * width);
  const rows = towers.flatMap((tower) => (log.towers[tower]?.runs ?? []).map((run, index) => ({ tower, run, index })));
  return {
    kind: 'runs',
    title: story.context.say('runsPicture', { tower: towers.map((tower) => towerName(story, tower)).join(', ') }),
    runs: rows.map(({ run }) => log.runs[run]?.number ?? 0),
    towers: rows.map(({ tower }) => towerName(story, tower)),
    time,
    ratio: rows.map(({ tower, index }) => {
      const judged = drill.towers[tower];
      const run = judged?.runs[index];
      const seen = new Float64Array(columns);
      const due = new Float64Array(columns);
      judged?.judged.cells.forEach((cell, j) => {
        const column = Math.floor((cell * log.step - span.start) / width);
        const count = run?.counts[j] as number;
        const expected = run?.expected[j] as number;
        if (column < 0 || column >= columns || Number.isNaN(count + expected)) return;
        seen[column] = (seen[column] as number) + count;
        due[column] = (due[column] as number) + expected;
      });
      return Array.from(seen, (sum, c) => ((due[c] as number) > 0 ? rounded(sum / (due[c] as number)) : null));
    }),
    highlighted,
    shaded,
  };
}

/** Counts a second of one run and the mean of its mates, as logged, in bins; gaps where nothing was judged. */
export function runTrace(story: Story, tower: number, index: number, shaded: readonly Span[], span: Span): TraceEvidence {
  const { log, drill, context } = story;
  const judged = drill.towers[tower];
  const number = log.runs[log.towers[tower]?.runs[index] ?? -1]?.number ?? 0;
  const own = judged?.judged.counts[index] ?? new Float32Array(0);
  const mates = judged?.judged.counts.filter((_, i) => i !== index && (judged.runs[i]?.presence.usual ?? 0) > 0) ?? [];
  const cells = judged?.judged.cells ?? new Int32Array(0);
  const matesMean = Float32Array.from(own, (_, j) => meanOf(mates, j));
  return {
    kind: 'trace', title: context.say('tracePicture', { run: String(number) }), unit: '1/s', span, shaded, levels: [],
    series: [
      binned(own, cells, log.step, span, context.say('traceRun', { run: String(number) }), 'subject'),
      binned(matesMean, cells, log.step, span, context.say('traceMates'), 'witness'),
    ],
  };
}

/** Flow per run of one tower and of the others. */
export function towerTrace(story: Story, tower: number, shaded: readonly Span[], span: Span): TraceEvidence {
  const { log, towers, context } = story;
  const flow = towers[tower];
  const cells = Int32Array.from({ length: log.cells }, (_, k) => k);
  const own = Float64Array.from(cells, (k) => flow?.all[k] ?? Number.NaN);
  const others = Float64Array.from(cells, (k) => flow?.others[k] ?? Number.NaN);
  const name = towerName(story, tower);
  return {
    kind: 'trace', title: context.say('towerPicture', { tower: name }), unit: '1/s', span, shaded, levels: [],
    series: [
      binned(own, cells, log.step, span, context.say('traceTower', { tower: name }), 'subject'),
      binned(others, cells, log.step, span, context.say('traceOthers'), 'witness'),
    ],
  };
}

/** Counts a second of all runs of a tower before and during. */
export function matesTable(story: Story, tower: number, from: number, to: number): TableEvidence {
  const { log, drill, context } = story;
  const { say } = context;
  const judged = drill.towers[tower]?.judged;
  const length = Math.max(60, Math.min(1800, to - from));
  const rate = (counts: Float32Array, first: number, after: number): number | null => {
    let sum = 0;
    let n = 0;
    for (let j = Math.max(0, first); j < Math.min(counts.length, after); j++) {
      if (Number.isNaN(counts[j] as number)) continue;
      sum += counts[j] as number;
      n++;
    }
    return n === 0 ? null : rounded(sum / n / log.step);
  };
  return {
    kind: 'table',
    title: say('matesTable', { tower: towerName(story, tower) }),
    columns: [{ label: say('columnRun') }, { label: say('columnBefore'), unit: '1/s', digits: 1 }, { label: say('columnDuring'), unit: '1/s', digits: 1 }, { label: say('columnChange'), unit: '%', digits: 1 }],
    rows: (judged?.counts ?? []).map((counts, index) => {
      const number = log.runs[log.towers[tower]?.runs[index] ?? -1]?.number ?? 0;
      const before = rate(counts, from - length, from);
      const during = rate(counts, from, to);
      return [runSubject(number), before, during, before === null || during === null || before === 0 ? null : rounded(100 * (during / before - 1))];
    }),
  };
}

export const towerName = ({ log }: Pick<Story, 'log'>, tower: number): string => log.towers[tower]?.id || 'of the drill';

function binned(values: Float32Array | Float64Array, cells: Int32Array, step: number, span: Span, label: string, role: EvidenceSeries['role']): EvidenceSeries {
  const width = Math.max(step, (span.end - span.start) / POINTS);
  const bins = Math.ceil((span.end - span.start) / width);
  const sum = new Float64Array(bins);
  const n = new Uint32Array(bins);
  for (let j = 0; j < cells.length; j++) {
    const bin = Math.floor(((cells[j] as number) * step - span.start) / width);
    if (bin < 0 || bin >= bins || Number.isNaN(values[j] as number)) continue;
    sum[bin] = (sum[bin] as number) + (values[j] as number);
    n[bin] = (n[bin] as number) + 1;
  }
  return {
    label, role, style: 'line',
    x: Array.from({ length: bins }, (_, b) => span.start + (b + 0.5) * width),
    y: Array.from(sum, (total, b) => ((n[b] as number) === 0 ? null : rounded(total / (n[b] as number) / step))),
  };
}

function meanOf(runs: readonly Float32Array[], entry: number): number {
  let sum = 0;
  let n = 0;
  for (const counts of runs) {
    const count = counts[entry] as number;
    if (Number.isNaN(count)) continue;
    sum += count;
    n++;
  }
  return sum / n;
}

const rounded = (value: number): number => Math.round(value * 1000) / 1000;
