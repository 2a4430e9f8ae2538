import { fileURLToPath } from 'node:url';
import type { Command } from '../command.ts';
import { serve, viewOptions } from './view.ts';

/** From dist/src/cli/commands to the repository's root. */
const samplePath = (name: string): string => fileURLToPath(new URL(`../../../../sample-logs/${name}`, import.meta.url));

export const demo: Command = {
  name: 'demo',
  arguments: '',
  summary: 'Opens the viewer on the shipped sample day.',
  options: viewOptions,
  examples: ['sowtrace demo', 'sowtrace demo --open'],
  run: async (request, terminal) =>
    serve(request, terminal, [samplePath('mud-in-opener/day.log')], { setup: samplePath('mud-in-opener/setup.json'), signals: samplePath('mud-in-opener/signals.json') }),
};
