import { UsageError, analyse, exportCsv, exportGeoJson, exportParquet } from '../../index.ts';
import type { Command } from '../command.ts';
import { readInputs, readingOptions } from '../reading-options.ts';
import { writeOut } from '../write-out.ts';

export const exportChannels: Command = {
  name: 'export',
  arguments: 'LOG…',
  summary: 'Writes decoded channels to an open format: CSV reads back in, GeoJSON goes on a map together with the places of the findings, Parquet into any engine.',
  options: {
    ...readingOptions,
    channels: { value: 'GLOB,…', help: 'which channels, e.g. "run.*.count,wheel.speed" (default all)' },
    from: { value: 'T', help: 'from this time (ISO 8601)' },
    to: { value: 'T', help: 'to this time' },
    every: { value: 'STEP', help: 'one row per step, e.g. 1s or 0.2s (default: every sample; GeoJSON 1s)' },
    format: { value: 'FORM', oneOf: ['csv', 'geojson', 'parquet'], help: 'csv, geojson or parquet' },
    out: { value: 'FILE', help: 'write there' },
  },
  examples: ['sowtrace export day.log --channels "run.*.count" --every 1s --format csv --out runs.csv', 'sowtrace export day.log --setup setup.json --channels "fan.1.speed" --every 5s --format geojson --out day.geojson'],
  run: async (request, terminal) => {
    const format = request.value('format');
    if (format === undefined) throw new UsageError('no-format', 'Which format?', 'Add --format csv, --format geojson or --format parquet.');
    if (format === 'parquet' && request.value('out') === undefined) throw new UsageError('no-out', 'Parquet is not for the screen.', 'Add --out FILE.');
    const { day, setup, zone } = await readInputs(request, terminal);
    const selection = { zone, channels: request.value('channels'), from: request.value('from'), to: request.value('to'), every: request.value('every') };
    if (format === 'geojson') await writeOut(exportGeoJson(day, analyse(day, setup).findings, selection), request, terminal);
    else await writeOut(format === 'parquet' ? exportParquet(day, selection) : exportCsv(day, selection), request, terminal);
    return 0;
  },
};
