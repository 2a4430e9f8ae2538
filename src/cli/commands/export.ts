import { UsageError, exportCsv } from '../../index.ts';
import type { Command } from '../command.ts';
import { readInputs, readingOptions } from '../reading-options.ts';
import { writeOut } from '../write-out.ts';

export const exportChannels: Command = {
  name: 'export',
  arguments: 'LOG…',
  summary: 'Writes decoded channels to an open format; CSV reads back in.',
  options: {
    ...readingOptions,
    channels: { value: 'GLOB,…', help: 'which channels, e.g. "run.*.count,wheel.speed" (default all)' },
    from: { value: 'T', help: 'from this time (ISO 8601)' },
    to: { value: 'T', help: 'to this time' },
    every: { value: 'STEP', help: 'one row per step, e.g. 1s or 0.2s (default: every sample)' },
    format: { value: 'FORM', oneOf: ['csv'], help: 'csv' },
    out: { value: 'FILE', help: 'write there' },
  },
  examples: ['sowtrace export day.log --channels "run.*.count" --every 1s --format csv --out runs.csv'],
  run: async (request, terminal) => {
    if (request.value('format') === undefined) throw new UsageError('no-format', 'Which format?', 'Add --format csv.');
    const { day, zone } = await readInputs(request, terminal);
    await writeOut(exportCsv(day, {
      zone,
      channels: request.value('channels'),
      from: request.value('from'),
      to: request.value('to'),
      every: request.value('every'),
    }), request, terminal);
    return 0;
  },
};
