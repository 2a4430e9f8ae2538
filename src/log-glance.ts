import type { ColumnGlance, LogGlance } from '../shared/glance.ts';
import { peek } from './core/byte-stream.ts';
import { isMendable } from './core/errors.ts';
import { cellValue } from './formats/csv/cell.ts';
import { detectDialect, type Dialect } from './formats/csv/dialect.ts';
import { mapHeading, splitHeading } from './formats/csv/headings.ts';
import type { ColumnsFile } from './formats/csv/columns-file.ts';
import { timeHeading } from './formats/csv/time-cell.ts';
import { formats, recognise } from './formats/registry.ts';
import { unrecognised } from './formats/unrecognised.ts';
import { openLog } from './open-log.ts';
import { openLogs } from './open-logs.ts';
import { isZip } from './reading/zip-archive.ts';

const HEAD = 65_536;
const CELLS_SHOWN = 4;

/** What the first 64 KiB of a log tell: its format, or why none fits; for CSV its columns with their first values. Never throws for a bad file. */
export async function glanceAt(path: string, name: string, columns?: ColumnsFile): Promise<LogGlance> {
  try {
    if (await isZip(path)) {
      const { logs, close } = await openLogs([{ path, name }]);
      await close();
      return { format: { id: 'zip', title: `zip archive of ${logs.length} ${logs.length === 1 ? 'log' : 'logs'}` } };
    }
    const log = await openLog(path);
    const { head, bytes } = await peek(log.bytes(), HEAD);
    await bytes[Symbol.asyncIterator]().return?.();
    const format = recognise(head);
    if (format === undefined) throw unrecognised(name, head, formats);
    const dialect = format.meta.id === 'csv' ? detectDialect(head, columns?.timeColumn?.heading) : undefined;
    return { format: format.meta, ...(dialect === undefined ? {} : { columns: columnsOf(dialect, columns) }) };
  } catch (error) {
    if (isMendable(error)) return { problem: { message: error.message, whatToDo: error.whatToDo } };
    throw error;
  }
}

function columnsOf(dialect: Dialect, columns: ColumnsFile | undefined): readonly ColumnGlance[] {
  return dialect.headings.map((heading, index): ColumnGlance => {
    const cells = dialect.firstRows.map((row) => (row[index] ?? '').trim());
    const meaning = columns?.columns.get(heading) ?? mapHeading(heading);
    const { unit } = splitHeading(heading);
    const isTime = columns?.timeColumn === undefined ? timeHeading(heading) !== undefined : columns.timeColumn.heading === heading;
    return {
      heading,
      cells: cells.filter((cell) => cell !== '').slice(0, CELLS_SHOWN),
      numbers: cells.map((cell) => numberIn(cell, dialect.decimalComma)),
      isTime,
      suggestions: 'suggestions' in meaning ? meaning.suggestions : [],
      ...('channel' in meaning ? { channel: meaning.channel } : {}),
      ...('problem' in meaning && meaning.problem !== undefined ? { problem: meaning.problem } : {}),
      ...(unit === undefined ? {} : { unit }),
    };
  });
}

function numberIn(cell: string, decimalComma: boolean): number | null {
  const value = cell === '' ? undefined : cellValue(cell, decimalComma);
  return value === undefined || !Number.isFinite(value) ? null : value;
}
