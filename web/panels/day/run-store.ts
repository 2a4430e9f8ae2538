import { batch, signal, type ReadonlySignal } from '@preact/signals';
import { columnOf, decodePack } from '../../../shared/column-pack.ts';
import type { RunPictureMeta } from '../../../shared/day-views.ts';
import { MARGIN } from '../../plot/lane-store.ts';
import { latestOnly } from '../../plot/latest-only.ts';
import type { Range } from '../../plot/range.ts';

export interface RunGrid extends RunPictureMeta {
  /** Rows × columns, row by row; NaN = blank. */
  readonly ratio: Float32Array;
}

export interface RunStore {
  readonly grid: ReadonlySignal<RunGrid | undefined>;
  /** The range the newest answer was asked for. */
  readonly fresh: ReadonlySignal<Range | undefined>;
  readonly want: (range: Range, columns: number) => void;
}

export function createRunStore(day: string, duration: number): RunStore {
  const grid = signal<RunGrid | undefined>(undefined);
  const fresh = signal<Range | undefined>(undefined);
  const ask = latestOnly(async ({ range, columns }: { readonly range: Range; readonly columns: number }) => {
    const span = range.to - range.from;
    const [from, to] = [Math.max(0, range.from - MARGIN * span), Math.min(duration, range.to + MARGIN * span)];
    const query = new URLSearchParams({ from: String(from), to: String(to), columns: String(Math.round((columns * (to - from)) / span)) });
    const response = await fetch(`/api/days/${encodeURIComponent(day)}/runs?${query}`);
    if (!response.ok) throw new Error(`answered ${response.status}`);
    return decodePack<RunPictureMeta>(await response.arrayBuffer());
  }, (pack, { range }) => batch(() => {
    grid.value = { ...pack.meta, ratio: columnOf(pack, 'ratio', Float32Array) };
    fresh.value = range;
  }));
  return { grid, fresh, want: (range, columns) => ask({ range, columns }) };
}

/** What a run's picture shows at an instant; NaN = blank. */
export function ratioAt(grid: RunGrid, row: number, at: number): number {
  const column = Math.floor(((at - grid.from) / (grid.to - grid.from)) * grid.columns);
  return column < 0 || column >= grid.columns ? Number.NaN : (grid.ratio[row * grid.columns + column] as number);
}
