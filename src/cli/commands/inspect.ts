import { inspection } from '../../index.ts';
import type { Command } from '../command.ts';
import { readInputs, readingOf, readingOptions } from '../reading-options.ts';

export const inspect: Command = {
  name: 'inspect',
  arguments: 'LOG…',
  summary: 'Says what is in a log: format, span, message ids with rates and senders, channels, gaps, bad lines, what could not be decoded.',
  options: readingOptions,
  examples: ['sowtrace inspect tractor.log', 'sowtrace inspect cart.csv --columns columns.json'],
  run: async (request, terminal) => {
    const inputs = await readInputs(request, terminal);
    terminal.out(inspection(inputs.day, readingOf(request, inputs)));
    return 0;
  },
};
