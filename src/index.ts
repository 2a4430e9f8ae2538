/** The public face of the engine: what the command line and the server may use, and nothing else. */
export { UsageError, InputError, SetupError, isMendable } from './core/errors.ts';
export { openLog } from './open-log.ts';
export { openLogs } from './open-logs.ts';
export { glanceAt } from './log-glance.ts';
export { readLogs, readOpenedLogs, type ReadOptions } from './read-logs.ts';
export { parseColumns } from './formats/csv/columns-file.ts';
export { parseSignals } from './messages/signals-file.ts';
export { analyse } from './analyse.ts';
export { findingsDocument } from './handover/findings-document.ts';
export { letter, type Paint } from './handover/letter.ts';
export { inspection } from './handover/inspection.ts';
export { exportCsv } from './handover/export-csv.ts';
export { exportGeoJson } from './handover/export-geojson.ts';
export { exportParquet } from './handover/export-parquet.ts';
export { blocksOf } from './blocks-of.ts';
export { createDayViews, type DayViews } from './views/day-views.ts';
export { version } from './version.ts';
export type { Analysis, Day } from '../shared/day.ts';
