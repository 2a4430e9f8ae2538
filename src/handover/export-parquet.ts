import { parquetWriteBuffer } from 'hyparquet-writer';
import type { Day } from '../../shared/day.ts';
import { exportedUnit, selectColumns, type Selection } from './export-selection.ts';

const VERSION = 'sowtrace/channels/1';

/**
 * Channels → Parquet that any engine reads. With a step: one row per step and a column per channel (null = no sample);
 * without: one row per sample (channel, time, value). `time` is a UTC timestamp in ms; units stand in the file's metadata.
 */
export function exportParquet(day: Day, selection: Selection): Uint8Array {
  const columns = selectColumns(day, selection);
  const units = Object.fromEntries(columns.map((column) => [column.channel.id, exportedUnit(column.channel).unit]));
  const kvMetadata = [{ key: 'format', value: VERSION }, { key: 'units', value: JSON.stringify(units) }];
  const at = (time: number): Date => new Date(Math.round((day.start + time) * 1000));
  const shown = (value: number, convert: (si: number) => number): number | null => (Number.isNaN(value) ? null : convert(value));
  if (selection.every !== undefined) {
    const wide = columns.map((column) => {
      const { convert } = exportedUnit(column.channel);
      return { name: column.channel.id, type: 'DOUBLE' as const, nullable: true, data: Array.from(column.value, (value) => shown(value, convert)) };
    });
    const time = { name: 'time', type: 'TIMESTAMP' as const, data: Array.from(columns[0]?.time ?? [], at) };
    return new Uint8Array(parquetWriteBuffer({ columnData: [time, ...wide], kvMetadata }));
  }
  const rows = columns.flatMap((column) => {
    const { convert } = exportedUnit(column.channel);
    return Array.from(column.time, (time, i) => ({ channel: column.channel.id, time: at(time), value: shown(column.value[i] as number, convert) }));
  });
  return new Uint8Array(parquetWriteBuffer({
    columnData: [
      { name: 'channel', type: 'STRING', data: rows.map((row) => row.channel) },
      { name: 'time', type: 'TIMESTAMP', data: rows.map((row) => row.time) },
      { name: 'value', type: 'DOUBLE', nullable: true, data: rows.map((row) => row.value) },
    ],
    kvMetadata,
  }));
}
