import type { Command } from '../command.ts';
import { serve, viewOptions } from './view.ts';

export const demo: Command = {
  name: 'demo',
  arguments: '',
  summary: 'Opens the viewer on the shipped sample day.',
  options: viewOptions,
  examples: ['sowtrace demo', 'sowtrace demo --open'],
  run: async (request, terminal) => serve(request, terminal, { sample: true, logs: [], files: {} }),
};
