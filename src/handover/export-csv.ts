import { toIso } from '../../shared/clock.ts';
import type { Day } from '../../shared/day.ts';
import { exportedUnit, selectColumns, type Column, type Selection } from './export-selection.ts';

/**
 * Channels → CSV of contract section 3, SI units in the headings (gnss.course in deg, meter targets in kg/ha, as CSV has
 * them by default), so that it reads back in. Throws UsageError when the selection names nothing.
 */
export function exportCsv(day: Day, selection: Selection): string {
  const columns = selectColumns(day, selection);
  const units = columns.map((column) => exportedUnit(column.channel));
  const lines = [['time', ...columns.map((column, index) => `${column.channel.id} [${units[index]?.unit ?? ''}]`)].join(',')];
  const cursors = new Int32Array(columns.length);
  for (;;) {
    const time = earliest(columns, cursors);
    if (time === undefined) break;
    const cells = columns.map((column, index) => {
      const cursor = cursors[index] as number;
      if (column.time[cursor] !== time) return '';
      cursors[index] = cursor + 1;
      return cell(column.value[cursor] as number, column, units[index]?.convert ?? Number);
    });
    if (cells.some((text) => text !== '')) lines.push(`${toIso(day.start + time)},${cells.join(',')}`);
  }
  return `${lines.join('\n')}\n`;
}

function earliest(columns: readonly Column[], cursors: Int32Array): number | undefined {
  let least: number | undefined;
  for (let i = 0; i < columns.length; i++) {
    const time = (columns[i] as Column).time[cursors[i] as number];
    if (time !== undefined && (least === undefined || time < least)) least = time;
  }
  return least;
}

/** Digits that a single-precision sample really has. */
function cell(value: number, column: Column, convert: (si: number) => number): string {
  if (Number.isNaN(value)) return '';
  const converted = convert(value);
  return column.channel.value instanceof Float32Array ? String(Number(converted.toPrecision(8))) : String(converted);
}
