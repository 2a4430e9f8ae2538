import type { LogSink, TableWriter } from '../log-format.ts';
import type { Dialect } from './dialect.ts';

/** Rows on their way to the sink, as columns; filled in place by the row readers. */
export interface RowBlock {
  readonly times: Float64Array;
  /** One array per column of the file; the time column's own is not used. */
  readonly values: readonly Float64Array[];
  /** Rows filled. */
  readonly rows: () => number;
  /** Takes the row just filled; hands the block on when it is full. */
  readonly rowDone: () => void;
  readonly flush: () => void;
  /** A cell that is no number: counted, its column named at the end. */
  readonly notNumber: (column: number, text: string) => void;
  readonly notes: () => readonly string[];
}

export const BLOCK_ROWS = 512;
const MOST_TEXT_COLUMNS_NAMED = 8;

export function createRowBlock(dialect: Dialect, timeColumn: number, sink: LogSink): RowBlock {
  const sampled = dialect.headings.map((_, i) => i).filter((i) => i !== timeColumn);
  const times = new Float64Array(BLOCK_ROWS);
  const values = dialect.headings.map(() => new Float64Array(BLOCK_ROWS));
  const handedOn = sampled.map((i) => values[i] as Float64Array);
  const texts = dialect.headings.map(() => ({ count: 0, first: '' }));
  const hasNumbers = dialect.headings.map(() => false);
  let table: TableWriter | undefined;
  let count = 0;

  const flush = (): void => {
    if (count === 0) return;
    table ??= sink.table(sampled.map((i) => ({ text: dialect.headings[i] ?? '' })));
    for (const i of sampled) hasNumbers[i] ||= (values[i] as Float64Array).subarray(0, count).some((value) => !Number.isNaN(value));
    table.rows(times, handedOn, count);
    count = 0;
  };

  return {
    times,
    values,
    rows: () => count,
    rowDone: () => {
      count += 1;
      if (count === BLOCK_ROWS) flush();
    },
    flush,
    notNumber: (column, text) => {
      const seen = texts[column];
      if (seen === undefined) return;
      if (seen.count === 0) seen.first = text.trim().slice(0, 40);
      seen.count += 1;
    },
    notes: () => texts.flatMap(({ count: cells, first }, i) =>
      (cells > 0 && hasNumbers[i] === true ? [`Column "${dialect.headings[i]}": ${cells} cells are no numbers, the first of them "${first}"; they count as no sample.`] : [])).slice(0, MOST_TEXT_COLUMNS_NAMED),
  };
}
